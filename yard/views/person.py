"""One person's account, for the owner: role, closing, a link for a forgotten password."""

from django.contrib import messages
from django.contrib.auth.tokens import default_token_generator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from yard.forms.people import RoleForm
from yard.models import Person
from yard.services.people import LastOwner, person_close, person_open, role_change


def person(request: HttpRequest, pk: int) -> HttpResponse:
    """The button that was pressed says what to do."""
    row = get_object_or_404(Person, pk=pk)
    form = RoleForm(request.POST if request.POST.get("do") == "role" else None, initial={"role": row.role})
    refused, link = "", ""
    if request.method == "POST":
        try:
            done = _do(request, row, form)
        except LastOwner as error:
            done, refused = "", str(error)
        if request.POST.get("do") == "link":
            link = request.build_absolute_uri(_password_path(row))
        elif done:
            messages.success(request, done)
            return redirect("yard:person", pk=pk)
    page = {"person": row, "form": form, "refused": refused, "link": link}
    return render(request, "yard/person.html", page, status=422 if refused or form.errors else 200)


def _do(request: HttpRequest, row: Person, form: RoleForm) -> str:
    do = request.POST.get("do")
    if do == "role" and form.is_valid():
        role_change(person=row, role=form.cleaned_data["role"], by=request.user)
        return "The role is changed."
    if do == "close":
        person_close(person=row, by=request.user)
        return "The account is closed; it is logged out everywhere."
    if do == "open":
        person_open(person=row, by=request.user)
        return "The account is open again."
    return ""


def _password_path(row: Person) -> str:
    """A link that works until the password changes or three days pass."""
    who = urlsafe_base64_encode(force_bytes(row.pk))
    return reverse("yard:invite-password", args=[who, default_token_generator.make_token(row)])
