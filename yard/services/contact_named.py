"""The contact of a name typed at the gate: the one there is, or a new one."""

from django.db import transaction
from django.db.models.functions import Lower

from yard.models import Contact, Person
from yard.services.contacts import ROLE_FIELDS, contact_add, contact_change


@transaction.atomic
def contact_named(*, by: Person | None, name: str, role: str) -> Contact:
    """Who is called so (capitals make no difference), given the role (owner, supplier, buyer) if it was missing."""
    field = f"is_{role}"
    if field not in ROLE_FIELDS:
        raise ValueError(f"no such role: {role}")
    words = " ".join(name.split())
    same = Contact.objects.alias(low=Lower("name")).filter(low=words.lower(), hidden_at__isnull=True)
    known = same.order_by(f"-{field}", "id").first()
    if known is None:
        return contact_add(by=by, name=words, **{field: True})
    if getattr(known, field):
        return known
    return contact_change(by=by, contact=known, version=known.version, **{field: True})
