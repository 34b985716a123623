"""The ready list as a spreadsheet."""

from django.db.models import F, Max, QuerySet, Sum

from yard.models import Cohort
from yard.services.exports import Column
from yard.services.ready_list import SORTS, Wanted, standing_wood
from yard.templatetags.quantities import species_name


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


COLUMNS = (
    Column("Stack", "stack__tag"),
    Column("Bay", "stack__bay__name"),
    Column("Species", "species_key", species_name),
    Column("Thickness in", "thickness_in", _rounded),
    Column("Quarters", "nominal"),
    Column("Sawn on", "started_on"),
    Column("Pieces", "pieces"),
    Column("Board feet green", "footage", _rounded),
    Column("MC now %", "estimate__mean_pct", _rounded),
    Column("MC low %", "estimate__mean_low_pct", _rounded),
    Column("MC high %", "estimate__mean_high_pct", _rounded),
    Column("Core %", "estimate__core_pct", _rounded),
    Column("As of", "estimate__as_of"),
    Column("Target %", "goal_pct"),
    Column("Reached by now", "reached_now", lambda share: None if share is None else round(share, 2)),
    Column("Earliest", "low_on"),
    Column("Likely", "mid_on"),
    Column("Latest", "high_on"),
    Column("Loses % a day", "estimate__rate_pct_day", lambda rate: None if rate is None else round(rate, 3)),
)


def ready_export_rows(wanted: Wanted) -> QuerySet[Cohort]:
    """All woods of the list, those to come too, with how much each is."""
    rows = standing_wood(wanted).annotate(
        pieces=Sum("slabs_now__count"), footage=Sum("slabs_now__green_bf"), nominal=Max("slabs_now__quarters")
    )
    return rows.order_by(F("reached_now").desc(nulls_last=True), *SORTS.get(wanted.sort, SORTS["date"]), "pk")
