"""What is going wrong in the yard, each with its number, why it matters, and what to do: read from what is stored."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta

from django.db.models import Case, Count, F, IntegerField, Q, QuerySet, Value, When
from django.urls import reverse
from django.utils import timezone

from yard import quantities
from yard.models import Bay, Cohort, Yard
from yard.services.air_now import AirNow
from yard.services.drying_risk import (
    BESIDE_TARGET_PCT,
    REWETS,
    REWETS_PCT_DAY,
    STILL_PCT_DAY,
    TOO_FAST,
    dries_too_fast,
)
from yard.services.green_wood import green_wood_risks
from yard.services.ready_list import Wanted, estimate_words, standing_wood, with_stack_and_estimate
from yard.services.risk_item import CAUTION, DANGER, INFO, Risk
from yard.templatetags.quantities import day, species_name

OLD_AFTER_DAYS = 2  # an estimate of the day before yesterday has missed two days of weather (our own limit)
STALE_AFTER = timedelta(hours=1)


def at_risk(air: AirNow) -> Q:
    """Wood that something is wrong with, as a condition on `standing_wood`."""
    return TOO_FAST | REWETS | CONFLICT | _still(air) | OUT_OF_SIGHT | out_of_date()


CONFLICT = Q(estimate__isnull=False) & ~Q(estimate__conflicts=[])
OUT_OF_SIGHT = Q(reached_now__lt=0.1, mid_on__isnull=True)


def out_of_date() -> Q:
    """Estimates that have missed something, or were never made."""
    overtaken = Q(stale_since__lt=timezone.now() - STALE_AFTER)
    old = Q(estimate__as_of__lt=timezone.localdate() - timedelta(days=OLD_AFTER_DAYS))
    return overtaken | old | Q(estimate__isnull=True)


def _still(air: AirNow) -> Q:
    """Wood over its target that loses next to nothing, and not for frost."""
    still = Q(estimate__rate_pct_day__lt=STILL_PCT_DAY, estimate__mean_pct__gt=F("goal_pct") + BESIDE_TARGET_PCT)
    return still & ~REWETS & ~Q(stack__bay__in=air.frozen_bays)


def risky_wood(air: AirNow, wanted: Wanted) -> QuerySet[Cohort]:
    """The woods at risk, the worst first, by their own targets."""
    rank = Case(
        When(TOO_FAST, then=Value(0)),
        When(CONFLICT, then=Value(1)),
        When(REWETS, then=Value(2)),
        When(_still(air), then=Value(3)),
        When(OUT_OF_SIGHT, then=Value(4)),
        default=Value(5),
        output_field=IntegerField(),
    )
    rows = standing_wood(wanted).filter(at_risk(air)).annotate(rank=rank)
    return rows.order_by("rank", F("estimate__rate_pct_day").desc(nulls_last=True), "pk")


def risks_of(ids: Iterable[int], air: AirNow) -> list[tuple[Cohort, list[Risk]]]:
    """The woods of a page with their risks, the worst first; two queries for all of them."""
    listed = with_stack_and_estimate(ids, standing_wood(Wanted()))
    estimate_words(listed)
    return [(cohort, list(_risks(cohort, air))) for cohort in listed]


def _risks(cohort: Cohort, air: AirNow) -> Iterator[Risk]:
    estimate = cohort.estimate
    about = wood_words(cohort)
    href = reverse("yard:stack-page", args=[cohort.stack_id]) + f"?wood={cohort.pk}#stack-moisture"

    def risk(kind: str, level: str, number: str, words: str, why: str, do: str) -> Risk:
        return Risk(kind, level, about, number, words, why, do, href)

    if estimate is None:
        yield risk(
            "no-estimate", CAUTION, "none", "It has no estimate yet.",
            "Nothing says how wet it is or when it is ready.",
            "Weigh a piece of it, or see that the yard has a place.",
        )  # fmt: skip
        return
    rate, safe = estimate.rate_pct_day, estimate.safe_rate_pct_day
    if dries_too_fast(estimate):
        yield risk(
            "too-fast", DANGER, f"{rate:.1f}% a day", f"It dries faster than is safe: at most {safe:.1f}% a day.",
            "Wood over its safe rate checks and honeycombs; most while it is wet.",
            "Shade it, screen the windward side, or move it to stiller air.",
        )  # fmt: skip
    for clash in estimate.conflicts:
        yield risk(
            "conflict", CAUTION, f"{abs(clash.get('off_by_sd', 0)):.0f} times its usual error", clash["words"],
            "One of the figures is wrong, or the wood is not all alike.", "Weigh it again, or void the wrong figure.",
        )  # fmt: skip
    if rate < -REWETS_PCT_DAY:
        yield risk(
            "re-wets", CAUTION, f"+{-rate:.2f}% a day", f"It takes up water: {estimate.mean_pct:.0f}% and rising.",
            "Damp air or rain wets it again; what was gained is lost, and stain can start.",
            "Look at the cover, and whether it stands in drip or on wet ground.",
        )  # fmt: skip
    elif _is_still(cohort, air):
        yield risk(
            "stalled", CAUTION, f"{max(rate, 0):.2f}% a day",
            f"It stands still at {estimate.mean_pct:.0f}%, over its target of {cohort.goal_pct:g}%.",
            f"The air of the last week brings wood to {_emc(cohort, air)}.",
            "Open the stack to the wind, or bring it under heat.",
        )  # fmt: skip
    if cohort.mid_on is None and cohort.reached_now is not None and cohort.reached_now < 0.1:
        yield risk(
            "out-of-sight", CAUTION, f"{cohort.goal_pct:g}%", cohort.goal_reason or "Its target is not in sight.",
            "Where it stands, the air does not bring it there.", "Plan the kiln, or set another target for the stack.",
        )  # fmt: skip
    yield from _overtaken(cohort, risk)


def _overtaken(cohort: Cohort, risk: Callable[..., Risk]) -> Iterator[Risk]:
    estimate, now = cohort.estimate, timezone.now()
    if cohort.stale_since is not None and now - cohort.stale_since > STALE_AFTER:
        hours = int((now - cohort.stale_since).total_seconds() // 3600)
        age = f"{hours} hour{'s' if hours != 1 else ''}" if hours < 48 else f"{hours // 24} days"
        yield risk(
            "out-of-date", INFO, age, "Something arrived that its estimate has not seen.",
            "Its figures may be off until the estimate is made anew.", "Make it anew below.",
        )  # fmt: skip
    elif (timezone.localdate() - estimate.as_of).days > OLD_AFTER_DAYS:
        days = (timezone.localdate() - estimate.as_of).days
        yield risk(
            "out-of-date", INFO, f"{days} days", f"Its estimate is of {day(estimate.as_of)}.",
            "The weather since then is not in it.", "Let the daily refresh run.",
        )  # fmt: skip


def _is_still(cohort: Cohort, air: AirNow) -> bool:
    estimate = cohort.estimate
    if cohort.goal_pct is None or estimate.mean_pct <= cohort.goal_pct + BESIDE_TARGET_PCT:
        return False
    return estimate.rate_pct_day < STILL_PCT_DAY and cohort.stack.bay_id not in air.frozen_bays


def _emc(cohort: Cohort, air: AirNow) -> str:
    week = air.of(cohort.stack.bay_id)
    return "no one knows what, since the yard has no place" if week is None else f"{week.emc_pct:.0f}%"


def frozen_risks(air: AirNow) -> list[Risk]:
    """One item for each bay where wet wood stands frozen: one query."""
    if not air.frozen_bays:
        return []
    wet = Q(stacks_now__cohorts__left_at__isnull=True, stacks_now__cohorts__estimate__mean_pct__gt=30)
    bays = Bay.objects.filter(pk__in=air.frozen_bays).annotate(woods=Count("stacks_now__cohorts", filter=wet))
    return [
        Risk(
            "frozen", INFO, bay.name, quantities.temp(air.by_bay[bay.pk].temp_f),
            f"{bay.woods} lots of wood over 30% MC are frozen." if bay.woods > 1 else "Wood over 30% MC is frozen.",
            "Frozen wood hardly dries (common practice, no source); it is not spoilt by it.",
            "Nothing now. Watch it for stain when it thaws.", reverse("yard:bay-page", args=[bay.pk]),
        )
        for bay in bays.filter(woods__gt=0).order_by("name")
    ]  # fmt: skip


def wood_words(cohort: Cohort) -> str:
    """A cohort in a list: ST-4, northern red oak, 2 1/8 in."""
    return f"{cohort.stack.tag}, {species_name(cohort.species_key)}, {quantities.thickness(cohort.thickness_in)}"


def risks_found(*, yard: Yard, air: AirNow, today: date, most: int) -> list[Risk]:
    """The worst risks of the whole yard, so many at the most; a fixed number of queries."""
    green = green_wood_risks(yard=yard, today=today, most=most)
    worst = risky_wood(air, Wanted()).values_list("pk", flat=True)[:most]
    of_stacks = [risk for _cohort, risks in risks_of(worst, air) for risk in risks]
    order = {DANGER: 0, CAUTION: 1, INFO: 2}
    return sorted([*green, *of_stacks, *frozen_risks(air)], key=lambda risk: order[risk.level])[:most]
