"""The round: what is worth measuring today, in the order in which one walks past it."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from yard.models import MeterReading, OvenSection, Weighing
from yard.services.weighing_round import WorthIt, worth_weighing

MOST_STOPS = 30  # a morning's work (our own limit)


@dataclass(frozen=True, slots=True)
class Round:
    """The stops still to make, and how many pieces were measured today."""

    stops: tuple[WorthIt, ...]
    done_today: int


def round_today(most: int = MOST_STOPS) -> Round:
    """The most telling measurements of today in walking order; a fixed number of queries."""
    return Round(tuple(walking_order(worth_weighing(most))), _done_today())


def walking_order(stops: Iterable[WorthIt]) -> list[WorthIt]:
    """By rows of the map from the top, each from left to right, then by stack; wood that stands nowhere last."""

    def place(stop: WorthIt) -> tuple:
        bay = stop.cohort.stack.bay
        where = (1, 0, 0, "") if bay is None else (0, bay.map_y, bay.map_x, bay.name)
        return (*where, stop.cohort.stack.tag, stop.cohort.pk)

    return sorted(stops, key=place)


def _done_today() -> int:
    midnight = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    weighed = Weighing.objects.standing().filter(made_at__gte=midnight).values("sample").distinct().count()
    metered = MeterReading.objects.standing().filter(made_at__gte=midnight).values("cohort", "slab").distinct().count()
    return weighed + metered + OvenSection.objects.standing().filter(cut_at__gte=midnight).count()
