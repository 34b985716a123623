"""Lists that go out as spreadsheets from the page "Bring in a spreadsheet": what was measured, bays, history.

Logs, slabs, stacks, contacts and what is ready have their own under their lists, with the filters set there.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import QuerySet

from yard.models import Bay, BayAir, BayKind, History, MeterReading, OvenSection, StackWeighing, Weighing
from yard.services.exports import Column

ACCOUNTS = ("person", "invite")  # whose changes only owners see


@dataclass(frozen=True, slots=True)
class ListOut:
    """A list by its words, its rows (for an owner or another person) and its columns."""

    words: str
    rows: Callable[[bool], QuerySet]
    columns: tuple[Column, ...]


def _record(*own: Column) -> tuple[Column, ...]:
    """Columns of an append-only record, with its own in the middle."""
    return (
        Column("Made at", "made_at"),
        *own,
        Column("As typed", "typed_value"),
        Column("Unit as typed", "typed_unit"),
        Column("By", "by__username"),
        Column("Note", "note"),
        Column("Voided at", "voided_at"),
        Column("Voided because", "void_reason"),
    )


def _history(is_owner: bool) -> QuerySet[History]:
    rows = History.objects.order_by("-at", "-id")
    return rows if is_owner else rows.exclude(table__in=ACCOUNTS)


LISTS: dict[str, ListOut] = {
    "weighings": ListOut(
        "Weighings of samples",
        lambda is_owner: Weighing.objects.order_by("made_at", "id"),
        _record(
            Column("Stack", "sample__cohort__stack__tag"),
            Column("Species", "sample__cohort__species_key"),
            Column("Sample", "sample__name"),
            Column("Weight (lb)", "weight_lb"),
        ),
    ),
    "oven-sections": ListOut(
        "Oven-dried sections",
        lambda is_owner: OvenSection.objects.order_by("made_at", "id"),
        _record(
            Column("Stack", "cohort__stack__tag"),
            Column("Species", "cohort__species_key"),
            Column("Sample", "sample__name"),
            Column("Cut at", "cut_at"),
            Column("Wet (lb)", "wet_lb"),
            Column("Oven-dry (lb)", "oven_dry_lb"),
            Column("MC (%)", "mc_pct"),
            Column("Sample's weight (lb)", "sample_weight_lb"),
        ),
    ),
    "meter-readings": ListOut(
        "Meter readings",
        lambda is_owner: MeterReading.objects.order_by("made_at", "id"),
        _record(
            Column("Stack", "cohort__stack__tag"),
            Column("Species", "cohort__species_key"),
            Column("Slab", "slab__tag"),
            Column("Reading (%)", "reading_pct"),
            Column("Corrected (%)", "corrected_pct"),
            Column("Depth (in)", "depth_in"),
            Column("Wood (°F)", "wood_temp_f"),
            Column("Meter set to", "meter_species"),
            Column("Usable", "usable"),
            Column("Not usable because", "why_unusable"),
        ),
    ),
    "stack-weighings": ListOut(
        "Weighings of whole stacks",
        lambda is_owner: StackWeighing.objects.order_by("made_at", "id"),
        _record(Column("Stack", "stack__tag"), Column("Weight (lb)", "weight_lb"), Column("Taken off (lb)", "tare_lb")),
    ),
    "bays": ListOut(
        "Bays",
        lambda is_owner: Bay.objects.order_by("name"),
        (
            Column("Bay", "name"),
            Column("Kind", "kind", lambda kind: BayKind(kind).label),
            Column("Air", "air", lambda air: BayAir(air).label),
            Column("Places", "places"),
            Column("Closed on", "closed_on"),
            Column("Note", "note"),
        ),
    ),
    "history": ListOut(
        "History",
        _history,
        (
            Column("At", "at"),
            Column("By", "by__username"),
            Column("Table", "table"),
            Column("What", "row_label"),
            Column("Action", "action"),
            Column("Changes", "changes", lambda changes: json.dumps(changes, ensure_ascii=False) if changes else ""),
            Column("Note", "note"),
        ),
    ),
}
