"""What somebody sees who opens a one-time link: choose a name and a password; or just a new password."""

from django.contrib.auth import login as start_session
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.tokens import default_token_generator
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlsafe_base64_decode
from django.views.decorators.debug import sensitive_post_parameters

from yard.forms.people import JoinForm
from yard.models import Person
from yard.services.people import InviteSpent, invite_accept, invite_find, password_set

LOGIN_BACKEND = "django.contrib.auth.backends.ModelBackend"


@sensitive_post_parameters("new_password1", "new_password2")
def invite(request: HttpRequest, token: str) -> HttpResponse:
    """Join the yard with the role that the link carries."""
    try:
        found = invite_find(token)
        form = JoinForm(Person(), request.POST or None)
        if request.method == "POST" and form.is_valid():
            person = _join(token, form)
            if person:
                start_session(request, person, backend=LOGIN_BACKEND)
                return redirect("yard:today")
    except InviteSpent as error:
        return render(request, "yard/invite.html", {"spent": str(error)}, status=410)
    page = {"form": form, "role": found.get_role_display().lower()}
    return render(request, "yard/invite.html", page, status=422 if form.errors else 200)


def _join(token: str, form: JoinForm) -> Person | None:
    chosen = form.cleaned_data
    try:
        return invite_accept(
            token=token,
            username=chosen["username"],
            password=chosen["new_password1"],
            first_name=chosen["first_name"],
            last_name=chosen["last_name"],
        )
    except IntegrityError:
        form.add_error("username", "Somebody took this name a moment ago: choose another.")
        return None


@sensitive_post_parameters("new_password1", "new_password2")
def password_link(request: HttpRequest, who: str, token: str) -> HttpResponse:
    """Set a new password by a link that the owner made; it stops working with the change."""
    person = _person_of(who)
    if person is None or not default_token_generator.check_token(person, token):
        return render(request, "yard/invite.html", {"spent": str(InviteSpent())}, status=410)
    form = SetPasswordForm(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        password_set(person=person, password=form.cleaned_data["new_password1"])
        start_session(request, person, backend=LOGIN_BACKEND)
        return redirect("yard:today")
    page = {"form": form, "person": person}
    return render(request, "yard/invite.html", page, status=422 if form.errors else 200)


def _person_of(who: str) -> Person | None:
    try:
        return Person.objects.filter(pk=int(urlsafe_base64_decode(who)), is_active=True).first()
    except ValueError:
        return None
