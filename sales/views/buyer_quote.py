"""A quote as its buyer sees it, under a private address and without logging in: this quote, and nothing else."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from sales.models import BuyerLink, Order
from sales.services.buyer_links import LinkOver, LinkUnknown, buyer_link_open, buyer_link_seen
from sales.services.document_rows import document_rows
from sales.services.link_guesses import guess_count, too_many_guesses
from sales.services.printed_document import PrintedDocument
from sales.views.document_pdf import pdf_answer
from yard.config.client_address import client_address

WRONG = ("Nothing here", "This address opens nothing. Copy it whole from the message that the yard sent you.")
OVER = ("No longer open", "This address opens no longer. Ask the yard for a new one.")
WAIT = ("Wait a little", "Too many wrong addresses were tried from here. Try again in ten minutes.")


def buyer_quote(request: HttpRequest, secret: str) -> HttpResponse:
    """The newest quote of the order that the address is for."""
    link, document = _opened(request, secret)
    if isinstance(document, HttpResponse):
        return document
    context = {
        "document": document, "rows": document_rows(document, units=request.yard.units),
        "pdf": reverse("outside:buyer-quote-pdf", args=[secret]), "state": _state_words(link.order),
    }  # fmt: skip
    return private(render(request, "sales/buyer_quote.html", context))


def buyer_quote_pdf(request: HttpRequest, secret: str) -> HttpResponse:
    """The same on paper."""
    _, document = _opened(request, secret)
    return document if isinstance(document, HttpResponse) else private(pdf_answer(document, request.yard.units))


def private(answer: HttpResponse) -> HttpResponse:
    """Kept by no cache, told to no other site, listed by no search engine."""
    answer["Cache-Control"] = "no-store"
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer


def _opened(request: HttpRequest, secret: str) -> tuple[BuyerLink | None, PrintedDocument | HttpResponse]:
    """The link and its quote, or no link and the answer that refuses it."""
    address = client_address(request)
    if too_many_guesses(address):
        return None, _refused(request, WAIT, 429)
    try:
        link, document = buyer_link_open(secret)
    except LinkUnknown:
        guess_count(address)
        return None, _refused(request, WRONG, 404)
    except LinkOver:
        return None, _refused(request, OVER, 410)
    if request.method == "GET" and not request.user.is_authenticated:
        buyer_link_seen(link)
    return link, document


def _refused(request: HttpRequest, words: tuple[str, str], status: int) -> HttpResponse:
    context = {"title": words[0], "words": words[1]}
    return private(render(request, "sales/buyer_refused.html", context, status=status))


def _state_words(order: Order) -> str:
    """What became of the quote, in a sentence for the buyer; empty while it stands."""
    if order.state == "inquiry":
        return "The yard is working on a new version of this quote: ask before you rely on it."
    if order.state in ("ordered", "ready", "delivered"):
        return "This quote was accepted."
    return ""
