"""Contacts: the one module that writes their table."""

from collections.abc import Iterable, Mapping
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from yard.models import Contact, Person
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.exports import Column
from yard.services.history import history_add, history_add_many

__all__ = ["ChangedMeanwhile", "ContactFields", "contact_add", "contact_change", "contact_hide", "contact_show",
           "contacts_add", "contacts_found"]  # fmt: skip

ROLE_FIELDS = ("is_buyer", "is_supplier", "is_owner")


class ContactFields(TypedDict, total=False):
    """What a person may set on a contact."""

    name: str
    is_buyer: bool
    is_supplier: bool
    is_owner: bool
    email: str
    phone: str
    address: str
    note: str


COLUMNS = (
    Column("Name", "name"),
    Column("Buyer", "is_buyer"),
    Column("Supplier", "is_supplier"),
    Column("Owner of wood", "is_owner"),
    Column("Telephone", "phone"),
    Column("E-mail", "email"),
    Column("Address", "address"),
    Column("Note", "note"),
)
EDITABLE = frozenset(ContactFields.__annotations__)


def contacts_found(*, words: str = "", role: str = "", hidden: bool = False) -> QuerySet[Contact]:
    """Contacts by name, telephone or e-mail, of one role (buyer, supplier, owner) or any, by name."""
    found = Contact.objects.filter(hidden_at__isnull=not hidden)
    if f"is_{role}" in ROLE_FIELDS:
        found = found.filter(**{f"is_{role}": True})
    for word in words.split():
        found = found.filter(
            Q(name__icontains=word) | Q(phone__icontains=word) | Q(email__icontains=word) | Q(address__icontains=word)
        )
    return found.order_by("name", "id")


def contact_wood(contact: Contact) -> dict[str, int]:
    """How many logs and standing slabs are theirs, and how many logs they supplied."""
    return {
        "logs_owned": contact.logs_owned.count(),
        "logs_supplied": contact.logs_supplied.count(),
        "slabs": contact.slabs.standing().count(),
    }


@transaction.atomic
def contact_add(*, by: Person | None, **fields: Unpack[ContactFields]) -> Contact:
    """Add a contact."""
    contact = Contact.objects.create(**_clean(fields))
    history_add(contact, by=by, action="added")
    return contact


@transaction.atomic
def contacts_add(*, by: Person | None, people: Iterable[tuple[str, Iterable[str]]], note: str) -> list[Contact]:
    """Add many contacts at once, each a name and its roles (buyer, supplier, owner)."""
    new = [Contact(name=name, **{f"is_{role}": True for role in roles}) for name, roles in people]
    added = Contact.objects.bulk_create(new)
    history_add_many(Contact, ((contact.pk, contact.name) for contact in added), by=by, action="added", note=note)
    return added


@transaction.atomic
def contact_change(*, by: Person | None, contact: Contact, version: int, **fields: Unpack[ContactFields]) -> Contact:
    """Change a contact that the caller saw at `version`. Errors: ChangedMeanwhile."""
    row = Contact.objects.select_for_update(of=("self",)).get(pk=contact.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    changes = {
        name: [getattr(row, name), value] for name, value in _clean(fields).items() if getattr(row, name) != value
    }
    if changes:
        for name, (_, value) in changes.items():
            setattr(row, name, value)
        row.version += 1
        row.save()
        history_add(row, by=by, action="changed", changes=changes)
    return row


def contact_hide(*, by: Person | None, contact: Contact) -> None:
    """Leave a contact out of lists and choices; wood and records keep it."""
    _set_hidden(by, contact, timezone.now(), "hidden")


def contact_show(*, by: Person | None, contact: Contact) -> None:
    """Take a hidden contact back into lists and choices."""
    _set_hidden(by, contact, None, "shown again")


@transaction.atomic
def _set_hidden(by: Person | None, contact: Contact, hidden_at: Any, action: str) -> None:
    row = Contact.objects.select_for_update(of=("self",)).get(pk=contact.pk)
    if bool(row.hidden_at) == bool(hidden_at):
        return
    row.hidden_at = hidden_at
    row.version += 1
    row.save()
    history_add(row, by=by, action=action)


def _clean(fields: Mapping[str, Any]) -> dict[str, Any]:
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on a contact: {', '.join(sorted(unknown))}")
    return {
        name: " ".join(value.split()) if name == "name" else value.strip() if isinstance(value, str) else value
        for name, value in fields.items()
    }
