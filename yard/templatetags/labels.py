"""The way from a list or a page to its labels: `{% load labels %}` `{% labels_of "slab" rows %}`."""

from collections.abc import Iterable
from typing import Any

from django import template
from django.template.context import RequestContext
from django.urls import reverse
from django.utils.html import format_html
from django.utils.http import urlencode

from yard import access
from yard.forms.label_form import MOST_IDS

register = template.Library()


@register.simple_tag(takes_context=True)
def labels_of(context: RequestContext, noun: str, rows: Iterable[Any], words: str = "") -> str:
    """A button to print the labels of what a list shows; nothing for who may not, or where there is nothing.

    A row is the thing itself, a tuple that begins with it, or an object that has it under its noun.
    """
    ids = [_thing(noun, row).pk for row in rows][:MOST_IDS]
    if not ids or not access.may(context["request"].user, "yard:labels"):
        return ""
    url = f"{reverse('yard:labels')}?{urlencode({'noun': noun, 'ids': ','.join(map(str, ids))})}"
    words = words or ("Label" if len(ids) == 1 else f"Labels of these {len(ids)}")
    return format_html('<a class="button quiet no-print" href="{}">{}</a>', url, words)


@register.simple_tag(takes_context=True)
def label_of(context: RequestContext, noun: str, thing: Any) -> str:
    """The same for one thing, beside its code."""
    return labels_of(context, noun, [thing], "Print its label")


def _thing(noun: str, row: Any) -> Any:
    if isinstance(row, tuple):
        return row[0]
    return row if row.__class__.__name__.lower() == noun else getattr(row, noun, row)
