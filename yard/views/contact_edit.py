"""Adding and changing contacts."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.contact_form import ContactEditForm, ContactForm, contact_values
from yard.models import Contact
from yard.services.contacts import ChangedMeanwhile, contact_add, contact_change


def contact_new(request: HttpRequest) -> HttpResponse:
    """The empty form; `?role=owner` ticks what they are."""
    role = request.GET.get("role", "")
    form = ContactForm(request.POST or None, initial={f"is_{role}": True} if role else {})
    if request.method == "POST" and form.is_valid():
        contact = contact_add(by=request.user, **form.values())
        messages.success(request, f"{contact.name} is added.")
        return redirect("yard:contact-page", pk=contact.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "yard/contact_edit.html", {"form": form}, status=status)


def contact_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the contact's values; two people editing it notice each other."""
    contact = get_object_or_404(Contact, pk=pk)
    form = ContactEditForm(request.POST or None, initial=contact_values(contact))
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            version = form.cleaned_data["version"]
            try:
                contact_change(by=request.user, contact=contact, version=version, **form.values())
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, contact_values(error.current), str(error))
                status = 409
            else:
                messages.success(request, "The contact is changed.")
                return redirect("yard:contact-page", pk=pk)
    return render(request, "yard/contact_edit.html", {"form": form, "contact": contact}, status=status)
