"""Who changed what and when: the only module that writes the history, called by every service that edits."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Model

from yard.models import History, Person
from yard.services.bulk_rows import rows_insert

SECRET = frozenset({"password", "token_hash"})
LEFT_OUT = frozenset({"version", "created_at", "updated_at", "last_login"})
LABEL_LENGTH = 120
UNIT_WORDS = {"in": "in", "ft": "ft", "lb": "lb", "f": "°F", "pct": "%", "bf": "bf", "deg": "°", "in2": "in²"}
# Tables whose history only those see who may open a page, by the page's URL name; other apps add theirs.
TABLE_NEEDS = {"person": "yard:people", "invite": "yard:people"}
# How each table is called in lists. A table that is missing here is called by its own name.
TABLE_WORDS = {
    "log": "Logs",
    "slab": "Slabs",
    "stack": "Stacks",
    "bay": "Bays",
    "sample": "Samples",
    "weighing": "Weighings",
    "stackweighing": "Stack weighings",
    "ovensection": "Oven sections",
    "meterreading": "Meter readings",
    "weatherfile": "Weather files",
    "contact": "Contacts",
    "sensor": "Sensors",
    "readingtoken": "Sensors' tokens",
    "privatefeed": "Addresses of feeds",
    "yard": "Yard settings",
    "person": "People",
    "invite": "One-time links",
}


def history_add(
    row: Model,
    *,
    by: Person | None,
    action: str,
    changes: Mapping[str, Any] | None = None,
    note: str = "",
) -> History:
    """Write down one change of one row, in the transaction that makes it.

    Parameters: action one word or two (added, changed, moved, voided); changes field to [before, after], as
    `changes_between` makes it; by None for what the program did of itself.
    """
    plain_changes = {
        name: [plain(before), plain(after)] for name, (before, after) in (changes or {}).items() if name not in SECRET
    }
    return History.objects.create(
        by=by,
        table=row._meta.model_name,
        row_id=row.pk,
        row_label=str(row)[:LABEL_LENGTH],
        action=action,
        changes=plain_changes,
        note=note[:300],
    )


def history_add_many(
    model: type[Model], rows: Iterable[tuple[int, str]], *, by: Person | None, action: str, note: str = ""
) -> None:
    """Write down the same of many rows of one table, each given by its id and label, as an import needs."""
    rows_insert(
        History,
        [{"row_id": row_id, "row_label": label[:LABEL_LENGTH]} for row_id, label in rows],
        table=model._meta.model_name,
        by_id=by.pk if by else None,
        action=action,
        note=note[:300],
    )


def snapshot(row: Model, fields: Iterable[str] | None = None) -> dict[str, Any]:
    """The row's values as history keeps them: take one before and one after, and compare."""
    wanted = set(fields) if fields is not None else None
    return {
        field.name: plain(getattr(row, field.name))
        for field in row._meta.concrete_fields
        if field.name not in LEFT_OUT | SECRET and not field.primary_key and (wanted is None or field.name in wanted)
    }


def changes_between(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, list[Any]]:
    """What differs, as field to [before, after]; equal values are left out."""
    return {name: [before.get(name), value] for name, value in after.items() if before.get(name) != value}


@dataclass(frozen=True)
class ChangeLine:
    """One field's change in words; `before` is None where there was nothing to change."""

    field: str
    before: str | None
    after: str


def change_lines(row: History) -> list[ChangeLine]:
    """The changes of one line of history as a person reads them."""
    return [
        ChangeLine(_field_words(name), None if before in (None, "") else _value_words(before), _value_words(after))
        for name, (before, after) in row.changes.items()
    ]


def _field_words(name: str) -> str:
    """`mean_width_in` as `mean width, in`: the unit stays, since the value is in it."""
    stem, _, unit = name.rpartition("_")
    if stem and unit in UNIT_WORDS:
        return f"{stem.replace('_', ' ')}, {UNIT_WORDS[unit]}"
    return name.replace("_", " ")


def _value_words(value: Any) -> str:
    if value in (None, "", []):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, list):
        return "; ".join(_value_words(one) for one in value)
    return str(value)


def plain(value: Any) -> Any:
    """A value as JSON can keep it and a person can read it."""
    if isinstance(value, Model):
        return str(value)
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"  # 5.50 and 5.5 are no change
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if isinstance(value, dict):
        return {str(name): plain(one) for name, one in value.items()}
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    return str(value)
