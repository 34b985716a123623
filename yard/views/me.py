"""A person's own page: units, colours, password."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import PasswordChangeForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.me import MyChoicesForm
from yard.models import Person
from yard.services.people import choices_change, password_set


def me(request: HttpRequest) -> HttpResponse:
    """Two forms on one page; the button that was pressed says which one was sent."""
    person = Person.objects.get(pk=request.user.pk)
    sent = request.POST.get("form", "")
    choices = MyChoicesForm(request.POST if sent == "choices" else None, instance=person)
    password = PasswordChangeForm(request.user, request.POST if sent == "password" else None)
    if sent == "choices" and choices.is_valid():
        choices_change(person=person, **choices.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("yard:me")
    if sent == "password" and password.is_valid():
        password_set(person=person, password=password.cleaned_data["new_password1"])
        update_session_auth_hash(request, person)
        messages.success(request, "Your password is changed. Other devices have to log in again.")
        return redirect("yard:me")
    status = 422 if sent else 200
    return render(request, "yard/me.html", {"choices": choices, "password": password}, status=status)
