"""Templates: nothing inline (the Content-Security-Policy refuses it), one stem from view to script."""

import re

import pytest
from django.template import engines

from tests.conventions.files import ROOT, files, named

TEMPLATES = files(".html")
INLINE = {
    "a style element": r"<style\b",
    "a style attribute": r"\sstyle\s*=",
    "an event handler": r"\son[a-z]+\s*=\s*[\"']",
    "an inline script": r"<script(?![^>]*\bsrc=)[^>]*>",
    "a script address": r"javascript:",
    "htmx's own inline script": r"\bhx-on\b|\bhx-vals\s*=\s*[\"']js:|\bhx-vars\b",
    "a style or script from elsewhere": r"(src|href)\s*=\s*[\"']https?://[^\"']+\.(js|css)",
}
# Sent by the plain server that hands out the yard's certificate authority, not by a view.
NOT_OF_A_VIEW = {"trust_page"}
# Stylesheets and scripts that belong to no single page.
SHARED = {"tokens", "base", "layout", "components", "tables", "forms", "print", "page", "suggest", "chart"}


@pytest.mark.parametrize("what", INLINE)
def test_templates_hold_nothing_inline(what):
    inline = re.compile(INLINE[what], re.IGNORECASE)
    found = [named(path) for path in TEMPLATES if inline.search(path.read_text(encoding="utf-8"))]
    assert found == [], what


def test_every_posted_form_carries_the_csrf_token():
    missing = []
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        forms = re.findall(r"<form\b[^>]*method=\"post\".*?</form>", text, re.IGNORECASE | re.DOTALL)
        missing += [f"{named(path)}: {form[:80]}" for form in forms if "{% csrf_token %}" not in form]
    assert missing == []


def test_every_template_can_be_read():
    """A template that does not parse is otherwise found by whoever opens the page."""
    for path in TEMPLATES:
        folder = next(parent for parent in path.parents if parent.name == "templates")
        engines["django"].get_template(path.relative_to(folder).as_posix())


def test_every_page_is_found_from_its_view_and_back():
    """`/stacks/7/` = `views/stack_page.py` = `templates/yard/stack_page.html`: one guess finds all of them.

    Small pages of one noun may share a view: `stack_move.html` is chosen in `stack_steps.py`, both under "stack".
    """
    strays = []
    for path in TEMPLATES:
        app, stem = path.parent.name, path.stem
        if app == "templates" or stem.startswith("_") or stem in NOT_OF_A_VIEW:
            continue
        noun = stem.split("_")[0]
        views = (ROOT / app / "views").glob(f"{noun}*.py")
        if not any(f'"{app}/{stem}.html' in view.read_text(encoding="utf-8") for view in views):
            strays.append(named(path))
    assert strays == []


def test_every_script_and_stylesheet_has_a_page_of_the_same_stem():
    """Or the same noun: `log.css` serves `log_page.html`, `phone_store.js` serves `phone.html`."""
    nouns = {path.stem.lstrip("_").split("_")[0] for path in TEMPLATES}
    strays = [
        named(path)
        for path in files(".js", ".css")
        if named(path).startswith("static/") and path.stem not in SHARED
        if path.stem.split("_")[0] not in nouns
    ]
    assert strays == []


def test_images_have_words():
    """An alt text, empty for what only decorates."""
    missing = [
        f"{named(path)}: {tag[:80]}"
        for path in TEMPLATES
        for tag in re.findall(r"<img\b[^>]*>", path.read_text(encoding="utf-8"))
        if " alt=" not in tag
    ]
    assert missing == []


def test_tables_scroll_inside_their_own_box():
    """A wide table must not make the page wider than the phone."""
    loose = []
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        if text.count('<table class="table') > text.count('class="table-box'):
            loose.append(named(path))
    assert loose == []
