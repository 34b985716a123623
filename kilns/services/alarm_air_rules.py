"""Rules about a kiln's air: too hot for the wood, a layer, a fan, a dehumidifier; too dry for the step; silent."""

from datetime import timedelta
from itertools import pairwise
from statistics import median

from kilns.models import DeviceKind, Phase, RunPhase, SensorPlace
from kilns.physics.kiln_box import OverLimit, equipment_limits, over_limits
from kilns.services.alarm_cause import CANNOT_TELL, CAUTION, DANGER, Cause, IsOpen, Verdict, verdict
from kilns.services.kiln_now import OUTDOOR_UNKNOWN_F, KilnNow, SensorNow
from yard.models import Reading
from yard.quantities import mc, temp, temp_step
from yard.wood.ranges import OutsideRange

# Our own limits, no source: controllers and sensors swing by a few degrees around a set point.
OVER_SET_F, FAR_OVER_SET_F, HOT_CLEARS_F = 5.0, 15.0, 2.0  # °F over the set point; °F back before it is quiet
UNDER_EMC_PCT, FAR_UNDER_EMC_PCT, DRY_CLEARS_PCT = 1.5, 3.0, 0.5  # % MC under the step's EMC; % MC back
SETTLES = timedelta(hours=2)  # after a change of set points the air is on its way to the new ones
PAUSES, LATELY = 2.0, 10  # of the usual pauses between so many readings it may be silent at the least
FILE_AFTER_MIN = 24 * 60  # a sensor that sends nothing itself is fetched once a day
HOT_KINDS = ("hot-layer", "hot-fan", "hot-dehumidifier")
TURN_DOWN = "Turn the heat down or open the vents, and look whether the fans run. The program switches nothing."


def hot_for_the_wood(now: KilnNow, is_open: IsOpen) -> Verdict:
    """The air against the dry bulb that was set for the phase, or that the schedule's step asks."""
    if now.run is None or (now.phase is not None and now.phase.phase == Phase.COOL):
        return verdict("hot-wood")
    hot_f, (set_f, whose) = now.hottest_f, _dry_bulb(now)
    if hot_f is None:
        return CANNOT_TELL
    if set_f is None:
        return verdict("hot-wood")
    before = _just_before(now)
    if before is not None and before.dry_bulb_f is not None and before.dry_bulb_f > set_f:
        set_f, whose = before.dry_bulb_f, "as set until just now"
    margin = OVER_SET_F - (HOT_CLEARS_F if is_open("hot-wood", "") else 0.0)
    if hot_f <= set_f + margin:
        return verdict("hot-wood")
    cause = Cause(
        "hot-wood", DANGER if hot_f > set_f + FAR_OVER_SET_F else CAUTION,
        f"Too hot for the wood: the air is at {temp(hot_f)}, {temp_step(hot_f - set_f)} over {temp(set_f)}, {whose}.",
        f"{TURN_DOWN} Wet wood checks and collapses in such air.",
        value=hot_f, limit=set_f,
    )  # fmt: skip
    return verdict("hot-wood", causes=[cause])


def hot_for_the_kiln(now: KilnNow, is_open: IsOpen) -> Verdict:
    """The air against what layers, fan motors and the dehumidifier stand; with or without a run."""
    hot_f = now.hottest_f
    if hot_f is None:
        return CANNOT_TELL
    outdoor_f = OUTDOOR_UNKNOWN_F if now.outdoor_f is None else now.outdoor_f
    try:
        over = over_limits(now.box, hot_f, outdoor_f)
        nearly = over_limits(now.box, hot_f + HOT_CLEARS_F, outdoor_f)
    except (OutsideRange, KeyError):
        return CANNOT_TELL
    sure = {one.what for one in over}
    found = [one for one in nearly if one.what in sure or is_open(*_kind_about(one.what))]
    causes = [_over(one, hot_f) for one in found]
    return verdict(*HOT_KINDS, causes=causes + _unmarked_fan(now, hot_f, is_open))


def too_dry_for_the_step(now: KilnNow, is_open: IsOpen) -> Verdict:
    """The EMC of the air against that of the step, while the wood dries."""
    if not now.is_drying:
        return verdict("too-dry")
    emc, step_emc = now.emc_pct, _emc(now)
    if emc is None:
        return CANNOT_TELL
    if step_emc is None:
        return verdict("too-dry")
    before = _just_before(now)
    if before is not None and before.emc_pct is not None:
        step_emc = min(step_emc, before.emc_pct)
    margin = UNDER_EMC_PCT - (DRY_CLEARS_PCT if is_open("too-dry", "") else 0.0)
    if emc >= step_emc - margin:
        return verdict("too-dry")
    cause = Cause(
        "too-dry", DANGER if emc < step_emc - FAR_UNDER_EMC_PCT else CAUTION,
        f"Too dry for the step: the air dries towards {mc(emc)}, the step asks for {mc(step_emc)}.",
        "Close the vents, slow the dehumidifier or add moisture; faces check while the core is wet.",
        value=emc, limit=step_emc,
    )  # fmt: skip
    return verdict("too-dry", causes=[cause])


def silent_sensors(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Sensors that have told nothing for longer than they may, while a run goes on."""
    if now.run is None:
        return verdict("silent")
    silent = (_silence(one, now) for one in now.sensors if one.is_silent)
    return verdict("silent", causes=[cause for cause in silent if cause is not None])


def _silence(one: SensorNow, now: KilnNow) -> Cause | None:
    """The cause of a sensor that may no longer be silent; one that is read by file has a day.

    It counts from when the run began: before, nobody had to listen. One that waits as long between any two readings
    is not silent each time.
    """
    by_post = one.place.sensor.reading_tokens.open().exists()
    may_min = one.place.silent_after_min if by_post else max(one.place.silent_after_min, FILE_AFTER_MIN)
    run_min = (now.at - now.run.started_at).total_seconds() / 60
    if min(one.silent_min, run_min) <= may_min:
        return None
    may_min = max(may_min, PAUSES * _usual_pause_min(one))
    if min(one.silent_min, run_min) <= may_min:
        return None
    name, spans = one.place.sensor.name, f"{_span(one.silent_min)}; it may be for {_span(may_min)}."
    words = f"{name} has been silent for {spans}" if one.heard_at else f"{name} has told nothing yet, for {spans}"
    about = f"sensor {one.place.sensor_id}"
    if not by_post:
        do = "Its readings come by file: read the newest in."
        return Cause("silent", CAUTION, words, do, about, one.silent_min, float(may_min))
    chamber = one.place.place == SensorPlace.AIR_IN
    do = "Look at its power, its network, its clock and its token."
    do += " Until it speaks nobody watches the kiln's air." if chamber else ""
    return Cause("silent", DANGER if chamber else CAUTION, words, do, about, one.silent_min, float(may_min))


def _usual_pause_min(one: SensorNow) -> float:
    """How long it usually waits between two readings; 0 where too few were sent to tell."""
    heard_at = one.heard_at or one.place.since
    rows = Reading.objects.filter(sensor=one.place.sensor, at__gte=one.place.since, at__lte=heard_at)
    times = list(rows.order_by("-at").values_list("at", flat=True)[:LATELY])
    return median((later - at).total_seconds() / 60 for later, at in pairwise(times)) if len(times) == LATELY else 0.0


def _dry_bulb(now: KilnNow) -> tuple[float | None, str]:
    if now.phase is not None and now.phase.dry_bulb_f is not None:
        return now.phase.dry_bulb_f, "as set"
    step = _step(now)
    return (step.dry_bulb_f, f"as step {now.run.step} asks") if step else (None, "")


def _just_before(now: KilnNow) -> RunPhase | None:
    """What was set before, while the air is still on its way from there."""
    if now.phase is None or now.at - now.phase.began_at >= SETTLES:
        return None
    return now.run.phases.filter(ended_at__isnull=False).order_by("-began_at", "-id").first()


def _emc(now: KilnNow) -> float | None:
    if now.phase is not None and now.phase.emc_pct is not None:
        return now.phase.emc_pct
    step = _step(now)
    return step.emc_pct if step else None


def _step(now: KilnNow):
    """The schedule's step, of a run that dries by one."""
    if now.run is None or now.run.schedule is None or not now.is_drying:
        return None
    return now.run.schedule.steps.filter(position=now.run.step).first()


def _kind_about(what: str) -> tuple[str, str]:
    return (f"hot-{what}", "") if what in ("fan", "dehumidifier") else ("hot-layer", what[:80])


def _over(one: OverLimit, air_f: float) -> Cause:
    kind, about = _kind_about(one.what)
    if kind == "hot-layer":
        words = f"Too hot for {one.what}: {temp(one.hottest_f)} where it stands {temp(one.limit_f)}."
        do = f"{TURN_DOWN} Foam softens, shrinks and gives off gas; keep away from bare foam in heat."
    else:
        words = f"Too hot for the {one.what}: the air is at {temp(air_f)}, it stands {temp(one.limit_f)}."
        do = f"{TURN_DOWN} A motor that is too hot fails, and may burn; its nameplate decides."
    return Cause(kind, DANGER, words, do, about=about, value=one.hottest_f, limit=one.limit_f)


def _unmarked_fan(now: KilnNow, hot_f: float, is_open: IsOpen) -> list[Cause]:
    """A fan whose plate nobody entered is held to the usual rating of motors."""
    unmarked = [one for one in now.build.of_kind(DeviceKind.FAN) if one.limit_f is None]
    usual = next(one for one in equipment_limits() if one.key == "fan-motor")
    about = "usual rating"
    if not unmarked or hot_f <= usual.limit_f - (HOT_CLEARS_F if is_open("hot-fan", about) else 0.0):
        return []
    rated = f"ordinary fan motors stand {temp(usual.limit_f)} ({usual.provenance})"
    words = f"The air is at {temp(hot_f)}; {rated}."
    do = f"Read the plate of {unmarked[0].name} and enter what it stands; until then keep the air cooler."
    return [Cause("hot-fan", CAUTION, words, do, about, hot_f, usual.limit_f)]


def _span(minutes: float) -> str:
    """A span as spoken: 45 min, 3 h, 2 days."""
    if minutes < 90:
        return f"{minutes:.0f} min"
    return f"{minutes / 60:.0f} h" if minutes < 48 * 60 else f"{minutes / 1440:.0f} days"
