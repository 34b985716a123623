"""Who may log in: everybody's account, and one-time links for new people."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from yard.forms.people import RoleForm
from yard.models import Invite, Person
from yard.services.people import invite_issue, invite_withdraw


def people(request: HttpRequest) -> HttpResponse:
    """The list; posted, a new link. The link is shown on this answer alone, since it is kept nowhere."""
    form = RoleForm(request.POST or None)
    link = ""
    if request.method == "POST" and form.is_valid():
        _, token = invite_issue(role=form.cleaned_data["role"], by=request.user)
        link = request.build_absolute_uri(reverse("yard:invite", args=[token]))
        form = RoleForm()
    everybody = Person.objects.order_by("-is_active", "username")
    open_links = Invite.objects.filter(used_at=None, withdrawn_at=None, expires_at__gt=timezone.now())
    page = {"form": form, "link": link, "people": everybody, "invites": open_links.select_related("made_by")}
    return render(request, "yard/people.html", page, status=422 if form.errors else 200)


def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link useless."""
    invite_withdraw(invite=get_object_or_404(Invite, pk=pk), by=request.user)
    messages.success(request, "The link no longer works.")
    return redirect("yard:people")
