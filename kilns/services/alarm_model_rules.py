"""The rule that takes a second or two, so it is asked every few minutes, not at each reading: the hold by the model."""

from kilns.models import Phase, SensorPlace
from kilns.physics.treatments import heat_treatments
from kilns.services.alarm_cause import CANNOT_TELL, INFO, Cause, IsOpen, Verdict, verdict
from kilns.services.core_hold import Piece, model_hold
from kilns.services.heat_asked import heat_asked
from kilns.services.kiln_now import KilnNow
from kilns.services.run_sensors import run_sensors, run_span
from yard.quantities import temp
from yard.wood.ranges import OutsideRange


def hold_by_model(now: KilnNow, is_open: IsOpen) -> Verdict:
    """Whether the slowest piece held its heat by the model on the measured air, where no probe sits in the wood."""
    probes = [one for one in now.sensors if one.place.place == SensorPlace.CORE]
    if now.phase is None or now.phase.phase != Phase.SANITISE or probes:
        return CANNOT_TELL
    asked, treatment, span = heat_asked(now.run, now.at), heat_treatments()[0], run_span(now.run, now.at)
    hottest_f = now.hottest_f
    if span is None or "words" not in asked or "since" not in asked:
        return CANNOT_TELL
    if not is_open("hold", "") and (hottest_f is None or hottest_f < treatment.core_f):
        return CANNOT_TELL  # the core is no hotter than the air: nothing to ask the model
    piece = Piece(**{name: asked[name] for name in ("species_key", "thickness_in", "width_in", "mc_pct", "words")})
    try:
        hold = model_hold(
            run_sensors(now.run, span), asked["since"], asked["until"], treatment, piece,
            loaded_at=now.run.started_at, elevation_ft=now.yard.elevation_ft,
        )  # fmt: skip
    except OutsideRange:
        return CANNOT_TELL
    if not hold.history.proved:
        return verdict("hold")
    cause = Cause(
        "hold", INFO,
        f"Hold reached by the model: the core of {piece.words} stood at {temp(treatment.core_f)} or more for "
        f"{hold.history.longest_hold_min:.0f} min in the measured air. No probe proves it.",
        "Look at the heat clock of the run, write the treatment down, then cool slowly. It is no certificate.",
        value=hold.history.longest_hold_min, limit=treatment.hold_min,
    )  # fmt: skip
    return verdict("hold", causes=[cause])
