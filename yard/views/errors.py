"""Pages for what went wrong: they say what happened and what to do, in the yard's words."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def _page(request: HttpRequest, status: int, title: str, words: str) -> HttpResponse:
    return render(request, "yard/errors.html", {"title": title, "words": words, "status": status}, status=status)


def bad_request(request: HttpRequest, exception: Any = None) -> HttpResponse:
    return _page(request, 400, "That was not understood", "Go back, reload the page and try again.")


def not_allowed(request: HttpRequest, exception: Any = None) -> HttpResponse:
    words = str(exception) or "Your role does not include this."
    return _page(request, 403, "Not for your role", words)


def not_found(request: HttpRequest, exception: Any = None) -> HttpResponse:
    return _page(request, 404, "Nothing here", "The address is wrong, or the thing is gone. Search by its tag instead.")


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    words = "The page was open too long or the log-in changed. Go back, reload the page and send it again."
    return _page(request, 403, "Please send that again", words)


def broken(request: HttpRequest) -> HttpResponse:
    """The program has a fault. No database is asked here: it may be what is broken."""
    return HttpResponse(BROKEN, status=500)


BROKEN = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A fault · Slabwright</title>
<meta name="viewport" content="width=device-width, initial-scale=1"></head><body><main><h1>The program has a fault</h1>
<p>What you last sent may not have been saved. Go back and look before you send it again.
The server's log says what happened.</p><p><a href="/">To today</a></p></main></body></html>"""
