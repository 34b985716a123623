"""One thing that a buyer likes to be told of: adding, changing, closing it, and what is ready of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.refusals import answered
from sales.forms.wish_form import WishEditForm, WishForm, wish_values
from sales.models import Wish
from sales.services.dry_width import dry_width
from sales.services.wish_matches import wish_ready
from sales.services.wishes import wish_add, wish_change, wish_words
from sales.services.wishes import wish_close as close
from yard.models import Contact

READY_SHOWN = 12


def wish_new(request: HttpRequest, buyer_pk: int) -> HttpResponse:
    """The empty form for a buyer."""
    buyer = get_object_or_404(Contact, pk=buyer_pk)
    form = WishForm(request.POST or None, initial={"tell_by_email": False})
    status = answered(request, form, lambda: wish_add(by=request.user, buyer=buyer, **form.values()))
    if status == 302:
        messages.success(request, "Written down.")
        return redirect("yard:contact-page", pk=buyer.pk)
    return render(request, "sales/wish_new.html", {"form": form, "buyer": buyer}, status=status)


def wish(request: HttpRequest, pk: int) -> HttpResponse:
    """Change it, and see what is ready."""
    row = get_object_or_404(Wish.objects.select_related("buyer"), pk=pk)
    form = WishEditForm(request.POST or None, initial=wish_values(row))

    def save() -> None:
        wish_change(by=request.user, wish=row, version=form.cleaned_data["version"], **form.values())

    status = answered(request, form, save, wish_values)
    if status == 302:
        messages.success(request, "Changed.")
        return redirect("sales:wish", pk=pk)
    ready = [(slab, dry_width(slab)) for slab in wish_ready(row)[: READY_SHOWN + 1]]
    context = {
        "form": form, "wish": row, "words": wish_words(row), "ready": ready[:READY_SHOWN],
        "has_more": len(ready) > READY_SHOWN,
    }  # fmt: skip
    return render(request, "sales/wish.html", context, status=status)


def wish_close(request: HttpRequest, pk: int) -> HttpResponse:
    """The buyer has it, or wants it no more."""
    row = get_object_or_404(Wish, pk=pk)
    close(by=request.user, wish=row)
    messages.success(request, "They are told of it no more.")
    return redirect("yard:contact-page", pk=row.buyer_id)
