"""What the first page says: what to do today, what is going wrong, what is ready; each with its number and why."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from yard import quantities
from yard.models import Log, LogState, Yard
from yard.services.air_now import air_now
from yard.services.green_wood import green_wood
from yard.services.log_cautions import log_cautions
from yard.services.ready_list import READY, ReadyRow, Wanted, ready_found, ready_rows, tab_counts
from yard.services.risk_item import Risk
from yard.services.risks import at_risk, risks_found
from yard.services.weighing_round import WorthIt, worth_weighing
from yard.templatetags.quantities import species_name

LOGS_LOOKED_AT, GREEN_LOOKED_AT = 60, 12
MOST_TO_DO, MOST_WEIGHINGS, MOST_RISKS, MOST_READY = 6, 4, 5, 5


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to do: what, its number, why, and where it is done."""

    words: str
    number: str
    why: str
    href: str
    is_late: bool


@dataclass(frozen=True)
class TodayList:
    """Everything of the first page."""

    to_do: list[ToDo]
    worth: list[WorthIt]
    risks: list[Risk]
    ready: list[ReadyRow]
    counts: dict[str, int]

    @property
    def is_quiet(self) -> bool:
        return not (self.to_do or self.worth or self.risks or self.ready)


def today_list(*, yard: Yard, today: date) -> TodayList:
    """Read it together; a fixed number of queries, and no model is run."""
    air = air_now(yard=yard, today=today)
    risks = [one for one in risks_found(yard=yard, air=air, today=today, most=MOST_RISKS + 6) if one.kind != "green"]
    counts = tab_counts(Wanted(), today, at_risk(air))
    ready_ids = ready_found(Wanted(), READY, today).values_list("pk", flat=True)[:MOST_READY]
    ready = ready_rows(ready_ids, Wanted())
    to_do = [*_green(yard, today), *_logs(yard, today)]
    to_do.sort(key=lambda one: not one.is_late)
    return TodayList(to_do[:MOST_TO_DO], worth_weighing(MOST_WEIGHINGS), risks[:MOST_RISKS], ready, counts)


def _green(yard: Yard, today: date) -> list[ToDo]:
    return [
        ToDo(
            f"Sticker the {species_name(one.species_key)} of {'log ' if one.log_id else ''}{one.tag}",
            f"{one.warm_days} warm days",
            f"{one.pieces} piece{'s' if one.pieces != 1 else ''}, {quantities.bf(one.footage_bf)}, green and without "
            "stickers: stain does not wait (common practice, no source).",
            one.href,
            one.is_late,
        )
        for one in green_wood(yard=yard, today=today, most=GREEN_LOOKED_AT)
    ]


def _logs(yard: Yard, today: date) -> list[ToDo]:
    """The logs that lie longest, where their age presses."""
    waiting = Log.objects.filter(state__in=[LogState.IN_YARD, LogState.ON_MILL])
    lying = list(waiting.order_by("arrived_on")[:LOGS_LOOKED_AT])
    cautions = log_cautions(lying, yard=yard, today=today)
    pressed = [(log, cautions[log.pk]) for log in lying if log.pk in cautions]
    pressed.sort(key=lambda pair: (pair[1].level != "late", -pair[1].warm_days))
    return [
        ToDo(
            f"Saw log {log.tag}, {species_name(log.species_key)}",
            f"{caution.warm_days} warm days",
            caution.words,
            reverse("yard:log-page", args=[log.pk]),
            caution.level == "late",
        )
        for log, caution in pressed
    ]
