"""Green wood that lies about without stickers, and for how many warm days: stain and checks wait for nobody."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Sum
from django.urls import reverse

from yard import quantities
from yard.models import Slab, Yard
from yard.services.log_cautions import WARM_F, WarmDays
from yard.services.risk_item import CAUTION, DANGER, Risk
from yard.templatetags.quantities import day, species_name

# Warm days that green wood may lie solid-piled: common practice, no source.
SOON_DAYS, LATE_DAYS = 3, 7
OLDEST_DAYS = 365  # what has lain longer is past saving, and no longer green (our own limit)


@dataclass(frozen=True, slots=True)
class GreenWood:
    """What was sawn of one log on one day, or bought in sawn that day, and lies without stickers."""

    log_id: int | None
    tag: str
    species_key: str
    pieces: int
    footage_bf: float
    sawn_on: date
    warm_days: int

    @property
    def is_late(self) -> bool:
        return self.warm_days >= LATE_DAYS

    @property
    def href(self) -> str:
        """Where to begin a stack of them."""
        return f"{reverse('yard:stack-build')}{f'?log={self.log_id}' if self.log_id else ''}"


def green_wood(*, yard: Yard, today: date, most: int) -> list[GreenWood]:
    """The groups that have lain longest in the warm, those that are pressed alone; three queries."""
    rows = list(
        Slab.objects.not_stickered()
        .filter(cohort__isnull=True, sawn_on__gte=today - timedelta(days=OLDEST_DAYS))
        .values("log_id", "log__tag", "species_key", "sawn_on")
        .annotate(pieces=Sum("count"), footage=Sum("green_bf"))
        .order_by("sawn_on", "log_id", "species_key")[:most]
    )
    if not rows:
        return []
    warm = WarmDays(yard, today, rows[0]["sawn_on"])
    found = [
        GreenWood(
            row["log_id"], row["log__tag"] or "bought in", row["species_key"], row["pieces"], row["footage"],
            row["sawn_on"], warm.since(row["sawn_on"]),
        )
        for row in rows
    ]  # fmt: skip
    return [one for one in found if one.warm_days >= SOON_DAYS]


def green_wood_risks(*, yard: Yard, today: date, most: int) -> list[Risk]:
    """The same as risks."""
    return [_risk(one) for one in green_wood(yard=yard, today=today, most=most)]


def _risk(one: GreenWood) -> Risk:
    pieces = f"{one.pieces} piece{'s' if one.pieces != 1 else ''}"
    return Risk(
        "green", DANGER if one.is_late else CAUTION,
        f"{'Log ' if one.log_id else ''}{one.tag}, {species_name(one.species_key)}", f"{one.warm_days} warm days",
        f"{pieces} lie without stickers since {day(one.sawn_on)}.",
        f"Green wood laid solid stains within days over {quantities.temp(WARM_F)}; taken as pressed from "
        f"{SOON_DAYS} warm days, late from {LATE_DAYS}. Common practice, no source.",
        "Sticker it today, ends sealed, in moving air out of the sun.", one.href,
    )  # fmt: skip
