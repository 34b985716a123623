"""People and the one-time links that let them in: the only module that writes both tables."""

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from yard.models import Invite, Person, Role
from yard.services.history import changes_between, history_add, snapshot

INVITE_DAYS = 7
CHOICES = ("first_name", "last_name", "units", "theme")


class InviteSpent(Exception):  # noqa: N818 - reads as the sentence it is
    """The link has been used, withdrawn or has run out; ask for a new one."""

    def __init__(self) -> None:
        super().__init__("This link has been used or has run out. Ask the yard's owner for a new one.")


class LastOwner(Exception):  # noqa: N818 - reads as the sentence it is
    """Without this person nobody could manage the yard any more."""

    def __init__(self, person: Person) -> None:
        super().__init__(f"{person} is the only owner: make somebody else an owner first.")


def token_hash(token: str) -> str:
    """What is kept of a link's secret part: who reads the database cannot use it."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def invite_issue(*, role: str, by: Person | None) -> tuple[Invite, str]:
    """Make a link that works once, for a week. Returns it with its secret part, which is kept nowhere."""
    token = secrets.token_urlsafe(24)
    invite = Invite.objects.create(
        token_hash=token_hash(token),
        role=Role(role),
        made_by=by,
        expires_at=timezone.now() + timedelta(days=INVITE_DAYS),
    )
    history_add(invite, by=by, action="issued")
    return invite, token


def invite_find(token: str) -> Invite:
    """The open invite of a link's secret part. Errors: InviteSpent."""
    invite = Invite.objects.filter(token_hash=token_hash(token)).first()
    if invite is None or not invite.is_open:
        raise InviteSpent
    return invite


@transaction.atomic
def invite_accept(*, token: str, username: str, password: str, first_name: str = "", last_name: str = "") -> Person:
    """Make the account of whoever opened the link; a second use is refused. Errors: InviteSpent."""
    invite = Invite.objects.select_for_update(of=("self",)).filter(token_hash=token_hash(token)).first()
    if invite is None or not invite.is_open:
        raise InviteSpent
    person = Person.objects.create_user(
        username, password=password, role=invite.role, first_name=first_name, last_name=last_name
    )
    invite.used_at, invite.used_by = timezone.now(), person
    invite.save(update_fields=["used_at", "used_by"])
    history_add(person, by=invite.made_by, action="joined", changes={"role": [None, person.role]})
    return person


@transaction.atomic
def invite_withdraw(*, invite: Invite, by: Person | None) -> None:
    """Make a link that has not been used useless."""
    row = Invite.objects.select_for_update(of=("self",)).get(pk=invite.pk)
    if row.is_open:
        row.withdrawn_at = timezone.now()
        row.save(update_fields=["withdrawn_at"])
        history_add(row, by=by, action="withdrawn")


@transaction.atomic
def role_change(*, person: Person, role: str, by: Person | None) -> Person:
    """Give a person another role. Errors: LastOwner."""
    row = _locked_with_owners(person)
    if row.role != role:
        if row.role == Role.OWNER:
            _keep_an_owner(row)
        old, row.role = row.role, Role(role).value
        row.save(update_fields=["role"])
        history_add(row, by=by, action="role changed", changes={"role": [old, row.role]})
    return row


@transaction.atomic
def person_close(*, person: Person, by: Person | None) -> Person:
    """Close an account: its log-ins end on every device at once, its records stay. Errors: LastOwner."""
    row = _locked_with_owners(person)
    if row.is_active:
        if row.role == Role.OWNER:
            _keep_an_owner(row)
        row.is_active = False
        row.save(update_fields=["is_active"])
        history_add(row, by=by, action="closed", changes={"is_active": [True, False]})
    return row


@transaction.atomic
def person_open(*, person: Person, by: Person | None) -> Person:
    """Open a closed account again."""
    row = _locked_with_owners(person)
    if not row.is_active:
        row.is_active = True
        row.save(update_fields=["is_active"])
        history_add(row, by=by, action="opened again", changes={"is_active": [False, True]})
    return row


@transaction.atomic
def choices_change(*, person: Person, first_name: str, last_name: str, units: str, theme: str) -> None:
    """Keep what a person chose for themselves."""
    row = Person.objects.select_for_update().get(pk=person.pk)
    before = snapshot(row, CHOICES)
    row.first_name, row.last_name, row.units, row.theme = first_name, last_name, units, theme
    changes = changes_between(before, snapshot(row, CHOICES))
    if changes:
        row.save(update_fields=CHOICES)
        history_add(row, by=person, action="changed", changes=changes)


@transaction.atomic
def password_set(*, person: Person, password: str) -> None:
    """Set a new password, which ends the log-ins of other devices."""
    person.set_password(password)
    person.save(update_fields=["password"])
    history_add(person, by=person, action="password changed")


def _locked_with_owners(person: Person) -> Person:
    """The row, locked together with every owner's: two owners cannot demote each other at once."""
    owners = Person.objects.filter(role=Role.OWNER).values_list("pk", flat=True)
    wanted = sorted({person.pk, *owners})
    rows = {row.pk: row for row in Person.objects.select_for_update().filter(pk__in=wanted).order_by("pk")}
    return rows[person.pk]


def _keep_an_owner(leaving: Person) -> None:
    others = Person.objects.filter(role=Role.OWNER, is_active=True).exclude(pk=leaving.pk)
    if not others.exists():
        raise LastOwner(leaving)
