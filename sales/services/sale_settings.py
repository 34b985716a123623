"""How the yard sells: the one module that writes this row."""

from typing import Any

from django.db import transaction

from sales.models import SaleSettings
from yard.models import Person
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot

EDITABLE = frozenset(
    field.name for field in SaleSettings._meta.concrete_fields if field.editable and not field.primary_key
) - {"updated_at"}


def the_sale_settings() -> SaleSettings:
    """The one row, or the habits of a yard that has set nothing yet; reading makes no row."""
    return SaleSettings.objects.first() or SaleSettings()


@transaction.atomic
def sale_settings_change(*, by: Person | None, version: int, **fields: Any) -> SaleSettings:
    """Change how the yard sells, as seen at `version`. Errors: ChangedMeanwhile."""
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a setting of selling: {', '.join(sorted(unknown))}")
    row = SaleSettings.objects.select_for_update().first()
    is_new = row is None
    row = row or SaleSettings()
    if row.version != version:
        raise ChangedMeanwhile(row)
    before = snapshot(row, fields)
    for name, value in fields.items():
        setattr(row, name, value)
    changes = changes_between(before, snapshot(row, fields))
    if changes or is_new:
        row.version += 0 if is_new else 1
        row.save()
        history_add(row, by=by, action="changed", changes=changes)
    return row
