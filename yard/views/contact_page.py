"""A contact: how to reach them, their logs and slabs, what was changed."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.models import Contact, History
from yard.services.contacts import contact_hide as hide
from yard.services.contacts import contact_show as show
from yard.services.contacts import contact_wood

HISTORY_SHOWN = 20
NEWEST_SHOWN = 10


def contact_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything known of one contact."""
    contact = get_object_or_404(Contact, pk=pk)
    history = History.objects.filter(table="contact", row_id=pk).select_related("by").order_by("-at", "-id")
    context = {
        "contact": contact,
        "wood": contact_wood(contact),
        "owned": contact.logs_owned.order_by("-arrived_on", "-id")[:NEWEST_SHOWN],
        "supplied": contact.logs_supplied.order_by("-arrived_on", "-id")[:NEWEST_SHOWN],
        "history": history[:HISTORY_SHOWN],
    }
    return render(request, "yard/contact_page.html", context)


def contact_hide(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a contact out of lists and choices, or take them back in."""
    contact = get_object_or_404(Contact, pk=pk)
    if "show" in request.POST:
        show(by=request.user, contact=contact)
        messages.success(request, f"{contact.name} is in the lists again.")
    else:
        hide(by=request.user, contact=contact)
        messages.success(request, f"{contact.name} is left out of lists and choices; wood and records keep the name.")
    return redirect("yard:contact-page", pk=pk)
