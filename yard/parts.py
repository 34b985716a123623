"""Sections that other apps add to the yard's pages: a slab's reservation, a stack's run, what was promised today.

The yard knows no other app by name. Each registers in its `AppConfig.ready`; a page asks with
`{% parts "slab" slab %}` and shows what it gets, in the order of registration.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

PAGES = ("today", "log", "slab", "stack", "bay", "contact", "sensor", "weighed")


@dataclass(frozen=True)
class Part:
    """A template and what fills it; `context` answers None when there is nothing to show."""

    template: str
    context: Callable[[HttpRequest, Any], Mapping[str, Any] | None]


_PARTS: dict[str, list[Part]] = {page: [] for page in PAGES}


def register(page: str, template: str, context: Callable[[HttpRequest, Any], Mapping[str, Any] | None]) -> None:
    """Add a section to a page, once.

    Errors: KeyError for a page that asks for no parts.
    """
    part = Part(template, context)
    if part not in _PARTS[page]:
        _PARTS[page].append(part)


def parts_of(page: str, request: HttpRequest, subject: Any) -> list[SafeString]:
    """The sections of a page for the row that it shows; `subject` is None on Today."""
    filled = [(part.template, part.context(request, subject)) for part in _PARTS[page]]
    return [render_to_string(template, dict(context), request) for template, context in filled if context is not None]
