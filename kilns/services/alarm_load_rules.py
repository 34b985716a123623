"""Rules about the load of a run: drying too fast, hold reached, condensate full by now, frozen."""

from datetime import datetime, timedelta

import numpy as np
from django.db.models.functions import Coalesce
from django.utils import timezone

from kilns.models import Condensate, Phase, SensorPlace
from kilns.physics.core_history import CORE_F, HOLD_MIN, longest_hold
from kilns.services.alarm_cause import CANNOT_TELL, CAUTION, DANGER, INFO, Cause, IsOpen, Verdict, verdict
from kilns.services.core_hold import LONGEST_SPAN
from kilns.services.kiln_now import KilnNow
from yard.models import Cohort, Reading, Sample
from yard.quantities import temp, weight
from yard.services.sample_mc import sample_dry_weight
from yard.wood.ranges import OutsideRange
from yard.wood.safe_rate import LIMIT_IDLE_BELOW_PCT, THICKEST_IN, THINNEST_IN, loss_pct_per_day, safe_rate

# Our own limits, no source.
FAR_TOO_FAST = 1.3  # times the safe rate
FAST_CLEARS = 0.9  # times the safe rate before it is quiet again
RATE_OVER_DAYS = 0.2  # between two weighings at the least: closer, the scale's own error decides
RATE_NO_OLDER = timedelta(days=4)
FROZEN_F, THAWED_F = 31.0, 34.0  # °F: ice is gone a little above freezing
FIRST_BUCKET_LB = 41.7  # lb of water in 5 US gallons (unit identity), until an emptying tells more
PACE_NO_OLDER = timedelta(days=7)


def dries_too_fast(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Samples weighed twice of late, else the model's estimate, against the safe rate of the wood."""
    if now.run is None:
        return verdict("too-fast")
    causes, told = [], set()
    for sample in Sample.objects.filter(cohort__in=now.cohorts, retired_at__isnull=True).order_by("pk"):
        cohort = next(one for one in now.cohorts if one.pk == sample.cohort_id)
        found = _sample_rate(sample, now)
        if found is not None:
            told.add(cohort.pk)
            causes += _fast(cohort, f"Sample {sample.name}", f"sample {sample.pk}", *found, is_open)
    for cohort in now.cohorts:
        if cohort.pk not in told and cohort.estimate is not None and cohort.stale_since is None:
            name = f"By the model {cohort.stack.tag}"
            rate, wet = cohort.estimate.rate_pct_day, cohort.estimate.mean_pct
            causes += _fast(cohort, name, f"wood {cohort.pk}", rate, wet, is_open)
    return verdict("too-fast", causes=causes)


def hold_reached(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Minutes above the core temperature by every probe, since the sanitising began."""
    if now.phase is None or now.phase.phase != Phase.SANITISE:
        return verdict("hold")
    probes = [one.place for one in now.sensors if one.place.place == SensorPlace.CORE]
    try:
        since = max(now.phase.began_at, now.at - LONGEST_SPAN)
        holds = [_hold(place.sensor_id, max(place.since, since)) for place in probes]
    except OutsideRange:
        return CANNOT_TELL
    if not holds or any(hold is None for hold in holds):
        return CANNOT_TELL
    shortest = min(hold.longest_min for hold in holds if hold is not None)
    if shortest < HOLD_MIN:
        return verdict("hold")
    many = "each probe" if len(holds) > 1 else "the probe"
    cause = Cause(
        "hold", INFO,
        f"Hold reached: {many} stood at {temp(CORE_F)} or more for {shortest:.0f} min without a break.",
        "Write the treatment down on the run's page, then let it cool slowly. It is a record, not a certificate.",
        value=float(HOLD_MIN), limit=HOLD_MIN,
    )  # fmt: skip
    return verdict("hold", causes=[cause])


def condensate_full(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Whether the bucket must be full by now, at the pace of the last emptying."""
    if now.run is None:
        return verdict("condensate")
    caught = list(now.run.condensates.standing().order_by("made_at", "id"))
    if not caught or now.at - caught[-1].made_at > PACE_NO_OLDER:
        return verdict("condensate")
    last = caught[-1]
    before = caught[-2].made_at if len(caught) > 1 else now.run.started_at
    hours = _hours(before, last.made_at)
    if hours is None or hours < 1 or last.water_lb <= 0:
        return verdict("condensate")
    most = Condensate.objects.standing().filter(run__kiln=now.kiln).order_by("-water_lb").first().water_lb
    holds_lb = max(most, FIRST_BUCKET_LB)
    full_at = last.made_at + timedelta(hours=hours * holds_lb / last.water_lb)
    if now.at < full_at:
        return verdict("condensate")
    known = "the most that was emptied at once" if most >= FIRST_BUCKET_LB else "a bucket of 5 gallons"
    cause = Cause(
        "condensate", CAUTION,
        f"The condensate must be full by now: {weight(last.water_lb)} came in {hours:.0f} h, and "
        f"{weight(holds_lb)} ({known}) was full at that pace on {timezone.localtime(full_at):%Y-%m-%d %H:%M}.",
        "Weigh it, write it down and empty it; a full bucket stops the drying or floods the floor.",
        value=last.water_lb, limit=holds_lb,
    )  # fmt: skip
    return verdict("condensate", causes=[cause])


def frozen_load(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Whether the probe, or the air where there is none, says that the wood is frozen."""
    if now.run is None or now.phase is None or now.phase.phase == Phase.COOL:
        return verdict("frozen")  # dry wood that cools in winter has nothing to thaw
    by_probe = now.core_f is not None
    cold_f = now.core_f if by_probe else now.hottest_f
    if cold_f is None:
        return CANNOT_TELL
    if cold_f > (THAWED_F if is_open("frozen", "") else FROZEN_F):
        return verdict("frozen")
    where = "the core stands" if by_probe else "the kiln's air stands, and no probe tells of the wood,"
    cause = Cause(
        "frozen", CAUTION,
        f"The load is frozen: {where} at {temp(cold_f)}.",
        "Thaw it slowly before a drying step counts: frozen wood hardly dries, and ice takes much heat to melt.",
        value=cold_f, limit=FROZEN_F,
    )  # fmt: skip
    return verdict("frozen", causes=[cause])


def _sample_rate(sample: Sample, now: KilnNow) -> tuple[float, float] | None:
    """How fast a sample dried between its last two weighings of this run, and its MC then; None where unknown."""
    weighed = list(
        sample.weighings.standing()
        .filter(made_at__gte=max(now.run.started_at or now.at, now.at - RATE_NO_OLDER), made_at__lte=now.at)
        .order_by("-made_at", "-id")[:10]
    )
    dry = sample_dry_weight(sample) if len(weighed) > 1 else None
    if dry is None:
        return None
    newest = weighed[0]
    for earlier in weighed[1:]:
        days = (newest.made_at - earlier.made_at) / timedelta(days=1)
        wet, less = dry.mc_pct(earlier.weight_lb), dry.mc_pct(newest.weight_lb)
        if days >= RATE_OVER_DAYS and wet is not None and less is not None:
            return loss_pct_per_day(wet, less, days), wet
    return None


def _fast(
    cohort: Cohort, name: str, about: str, rate_pct: float, wet_pct: float, is_open: IsOpen
) -> list[Cause]:
    """A cause where the rate is over the safe one while the wood is wet enough for that to matter."""
    safe_pct = _safe_pct(cohort)
    if safe_pct is None or wet_pct < LIMIT_IDLE_BELOW_PCT:
        return []
    if rate_pct <= safe_pct * (FAST_CLEARS if is_open("too-fast", about) else 1.0):
        return []
    level = DANGER if rate_pct > FAR_TOO_FAST * safe_pct else CAUTION
    words = f"{name} dries too fast: {rate_pct:.1f}% MC a day, safe is at most {safe_pct:.1f}%."
    do = "Go back a step: cooler and moister air. Look at faces and ends for checks today."
    return [Cause("too-fast", level, words, do, about, rate_pct, safe_pct)]


def _safe_pct(cohort: Cohort) -> float | None:
    if cohort.estimate is not None and cohort.estimate.safe_rate_pct_day is not None:
        return cohort.estimate.safe_rate_pct_day
    try:
        return safe_rate(cohort.species_key, min(max(cohort.thickness_in, THINNEST_IN), THICKEST_IN)).pct_per_day
    except OutsideRange:
        return None


def _hold(sensor_id: int, since: datetime):
    """The longest hold of one probe; None without a reading."""
    rows = Reading.objects.filter(sensor_id=sensor_id, at__gte=since).annotate(wood_f=Coalesce("core_f", "temp_f"))
    told = list(rows.filter(wood_f__isnull=False).order_by("at").values_list("at", "wood_f"))
    if len(told) < 2:
        return None
    minutes = np.array([(at - told[0][0]).total_seconds() / 60 for at, _ in told])
    return longest_hold(minutes, [wood_f for _, wood_f in told])


def _hours(since: datetime | None, until: datetime) -> float | None:
    return None if since is None else (until - since).total_seconds() / 3600
