"""Tags that every page may use: what a person may do, forms' fields, pages of a list."""

from typing import Any

from django import template
from django.template.context import RequestContext
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from yard import access
from yard import parts as page_parts

register = template.Library()


@register.simple_tag(takes_context=True)
def may(context: RequestContext, url_name: str, method: str = "GET") -> bool:
    """Whether the person may: `{% may "yard:logs" "POST" as can_add %}{% if can_add %}...{% endif %}`."""
    return access.may(context["request"].user, url_name, method)


@register.inclusion_tag("yard/_field.html")
def field(bound: Any, **extra: Any) -> dict[str, Any]:
    """One form field with label, hint, input and error: `{% field form.tag %}`; `wide=True` spans the grid."""
    return {"field": bound, **extra}


@register.inclusion_tag("yard/_form_errors.html")
def form_errors(form: Any) -> dict[str, Any]:
    """What is wrong with the form as a whole, and how many fields need another look."""
    return {"form": form}


@register.inclusion_tag("yard/_working.html")
def working(figure: Any, open: bool = False) -> dict[str, Any]:
    """A figure opened to formula, inputs, source and provenance: `{% working some_working %}`."""
    return {"working": figure, "open": open}


@register.inclusion_tag("yard/_pager.html", takes_context=True)
def pager(context: RequestContext, page: Any) -> dict[str, Any]:
    """Links to the pages of a list, keeping the filters: `{% pager page %}` with a Django Page."""
    asked = context["request"].GET.copy()
    asked.pop("page", None)
    return {"page": page, "query": asked.urlencode(), "path": context["request"].path}


@register.filter
def plain_input(value: Any) -> Any:
    """An input of a working as a person writes it: several figures with commas between them."""
    return ", ".join(str(one) for one in value) if isinstance(value, (tuple, list)) else value


@register.filter
def get_item(mapping: Any, key: Any) -> Any:
    """A value of a mapping by a key held in a variable."""
    return mapping.get(key) if hasattr(mapping, "get") else None


@register.simple_tag(takes_context=True)
def parts(context: RequestContext, page: str, subject: Any = None) -> SafeString:
    """What other apps add to this page for the row that it shows: `{% parts "slab" slab %}`."""
    return format_html_join("\n", "{}", ((part,) for part in page_parts.parts_of(page, context["request"], subject)))
