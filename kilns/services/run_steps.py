"""Which phase and step a run is in, what comes next and what decides it, in words with their numbers."""

from dataclasses import dataclass
from datetime import datetime

from kilns.models import Phase, Run, RunPhase, RunState
from kilns.physics import schedules as physics
from kilns.physics.capped_schedules import cap_schedule
from kilns.physics.equalising import EndAdvice, EndTreatment, end_advice, end_treatment
from kilns.physics.schedules import Step, StepNow, step_now
from kilns.physics.treatments import heat_treatments
from kilns.services.run_phases import ORDER
from kilns.services.run_samples import RunSamples
from kilns.services.schedule_steps import StepRow, step_rows
from kilns.services.schedules import physics_of
from yard import quantities
from yard.wood.humid_air import wet_bulb_f
from yard.wood.moisture import rh_pct_at_emc
from yard.wood.ranges import OutsideRange
from yard.wood.species import UnknownSpecies, species

SANITISE_OVER_F = 7.0
# °F over the core temperature that the air is set to, so that the core gets there (common practice, no source)


@dataclass(frozen=True)
class Advice:
    """What is called for: a phase and step with its set points, whether it is due now, and why in numbers."""

    phase: str
    step: int
    due: bool
    words: str
    why: str
    dry_bulb_f: float | None = None
    wet_bulb_f: float | None = None
    emc_pct: float | None = None

    @property
    def phase_words(self) -> str:
        """The phase as spoken, with its step while it dries."""
        name = Phase(self.phase).label
        return f"{name}, step {self.step}" if self.phase == Phase.DRYING else name


@dataclass(frozen=True)
class RunSteps:
    """Where a run stands: its schedule as the kiln can hold it, what goes on, and what is next."""

    schedule: physics.Schedule | None
    rows: list[StepRow]
    current: RunPhase | None
    now: StepNow | None
    treatment: EndTreatment | None
    advice: Advice | None


def run_steps(run: Run, samples: RunSamples, phases: list[RunPhase], elevation_ft: float) -> RunSteps:
    """Read it together; `phases` of the run in their order. No query beside those of the schedule's steps."""
    schedule = run_schedule(run, elevation_ft)
    current = next((one for one in reversed(phases) if one.ended_at is None), None)
    treatment = _treatment(run)
    now = None
    if schedule is not None and samples.contents_pct:
        now = step_now(schedule, samples.contents_pct, min(max(run.step, 1), len(schedule.steps)))
    rows = step_rows(schedule, elevation_ft) if schedule else []
    advice = None
    if run.state == RunState.RUNNING:
        advice = _advice(run, schedule, samples, now, treatment)
    return RunSteps(schedule, rows, current, now, treatment, advice)


def run_schedule(run: Run, elevation_ft: float) -> physics.Schedule | None:
    """A run's schedule, brought to what its kiln can reach; None for a run without one."""
    if run.schedule is None:
        return None
    return cap_schedule(physics_of(run.schedule), run.kiln.hottest_f, elevation_ft)


def next_phase(phase: str) -> str:
    """The phase after one; the last stays.

    >>> next_phase("drying"), next_phase("cool")
    ('equalise', 'cool')
    """
    place = ORDER.index(phase)
    return ORDER[min(place + 1, len(ORDER) - 1)]


def since_words(current: RunPhase | None, now: datetime) -> str:
    """How long the present phase or step goes on already."""
    if current is None:
        return ""
    hours = (now - current.began_at).total_seconds() / 3600
    return f"{hours / 24:.0f} days" if hours >= 48 else f"{hours:.0f} hours"


def _treatment(run: Run) -> EndTreatment | None:
    try:
        wood = species(run.plan.get("species_key", ""))
        kind = "softwood" if wood.wood_class == "softwood" else "hardwood"
    except UnknownSpecies:
        kind = "hardwood"
    try:
        return end_treatment(run.target_mc_pct, kind)
    except OutsideRange:
        return None


def _advice(
    run: Run, schedule: physics.Schedule | None, samples: RunSamples, now: StepNow | None, end: EndTreatment | None
) -> Advice:
    if run.phase == Phase.WARM_UP:
        return _after_warm_up(schedule, now)
    if run.phase in (Phase.DRYING, Phase.EQUALISE):
        return _while_drying(run, schedule, samples, now, end)
    if run.phase == Phase.CONDITION:
        why = "Cut a prong test: straight within 1/8 in is free of stress (read). Then sanitise, or cool."
        return _sanitise(why)
    if run.phase == Phase.SANITISE:
        why = "When the hold is proved: see the clock of the core below."
        return Advice(Phase.COOL, run.step, False, "Cool with the fans on, the door shut at first", why)
    return Advice(
        Phase.COOL, run.step, True, "Close the run when the wood is cool",
        "Measure the final MC board by board, and close it: the slabs are dry and for sale then.",
    )  # fmt: skip


def _after_warm_up(schedule: physics.Schedule | None, now: StepNow | None) -> Advice:
    if schedule is None:
        return Advice(Phase.DRYING, 1, True, "Begin to dry", "The run has no schedule: set what you trust.")
    step = now.step if now else schedule.steps[0]
    number = now.number if now else 1
    why = f"{_sentence(now.reason)}" if now else "No sample has an MC yet: weigh them; until then the green step."
    return _step_advice(Phase.DRYING, number, step, True, why)


def _while_drying(
    run: Run, schedule: physics.Schedule | None, samples: RunSamples, now: StepNow | None, end: EndTreatment | None
) -> Advice:
    contents = samples.contents_pct
    if not contents:
        return Advice(run.phase, run.step, False, "Weigh the samples", "No sample says how wet the wood is.")
    ending = end_advice(contents, end, run.phase == Phase.EQUALISE) if end else None
    if ending is not None and ending.state != "keep drying":
        return _end(run, ending, end)
    if run.phase == Phase.EQUALISE or schedule is None or now is None:
        why = _sentence(ending.reason) if ending else ""
        return Advice(run.phase, run.step, False, "Keep on", why)
    if now.number > run.step:
        return _step_advice(Phase.DRYING, now.number, now.step, True, _deciding_words(samples, now))
    words = _deciding_words(samples, now)
    if now.next_at_mc_pct is not None:
        left = now.controlling_mc_pct - now.next_at_mc_pct
        words = f"{words} Step {now.number + 1} is due at {now.next_at_mc_pct:g}%: {left:.1f} points to go."
        following = schedule.steps[now.number]
        return _step_advice(Phase.DRYING, now.number + 1, following, False, words)
    return Advice(Phase.EQUALISE, run.step, False, "Keep the last step", f"{words} {_end_words(end)}".strip())


def _end(run: Run, ending: EndAdvice, end: EndTreatment) -> Advice:
    if ending.state == "equalise":
        due = run.phase != Phase.EQUALISE
        why = f"{_sentence(ending.reason)} Until the wettest is at {end.stop_when_wettest_pct:g}%."
        points = _held(run, end.equalise_emc_pct)
        return Advice(Phase.EQUALISE, run.step, due, f"Equalise at {end.equalise_emc_pct:g}% EMC", why, *points)
    why = f"{_sentence(ending.reason)} Condition against stress, then sanitise or cool."
    words = f"Even enough: condition at {end.condition_emc_pct:g}% EMC"
    return Advice(Phase.CONDITION, run.step, True, words, why, *_held(run, end.condition_emc_pct))


def _held(run: Run, emc_pct: float) -> tuple[float | None, float | None, float]:
    """Dry bulb, wet bulb and EMC of an end treatment: as hot as the kiln goes, at the humidity that holds the EMC."""
    dry = run.kiln.hottest_f
    try:
        return dry, wet_bulb_f(dry, rh_pct_at_emc(dry, emc_pct)), emc_pct
    except OutsideRange:
        return dry, None, emc_pct


def _sanitise(why: str) -> Advice:
    usual = heat_treatments()[0]
    words = f"Sanitise: the core of the slowest piece at {quantities.temp(usual.core_f)} for {usual.hold_min:.0f} min"
    return Advice(Phase.SANITISE, 1, False, words, why, dry_bulb_f=usual.core_f + SANITISE_OVER_F)


def _step_advice(phase: str, number: int, step: Step, due: bool, why: str) -> Advice:
    dry, wet = quantities.temp(step.dry_bulb_f), quantities.temp(step.wet_bulb_f)
    words = f"Step {number}: dry bulb {dry}, wet bulb {wet}, {step.rh_pct:.0f}%, EMC {step.emc_pct:.1f}%"
    return Advice(phase, number, due, words, why, step.dry_bulb_f, step.wet_bulb_f, step.emc_pct)


def _deciding_words(samples: RunSamples, now: StepNow) -> str:
    named = ", ".join(f"{one.name} {one.mc_pct:.1f}%" for one in samples.deciding)
    return f"The wetter half of {len(samples.contents_pct)} samples ({named}) averages {now.controlling_mc_pct:.1f}%."


def _end_words(end: EndTreatment | None) -> str:
    return f"Equalise when the driest is at {end.start_when_driest_pct:g}%." if end else ""


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}." if words else ""
