"""Kiln schedules: steps of dry and wet bulb at moisture contents, assembled from the published code tables.

    schedule = assemble("T4-D2")
    schedule.steps[0].dry_bulb_f, schedule.steps[0].wet_bulb_f
    step_now(schedule, sample_mcs_pct)

The tables are from memory: every schedule says so in its `provenance`. A yard's own schedule is made with
`own_schedule`. Which code a wood takes is in `schedule_index.py`; what a kiln that cannot get so hot makes of
one is in `capped_schedules.py`.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from kilns.physics.samples import controlling_mc_pct
from kilns.physics.tables import table
from yard.wood.humid_air import rh_pct_from_wet_bulb, wet_bulb_f
from yard.wood.moisture import MC_HIGHEST_PCT, equilibrium_mc_pct
from yard.wood.ranges import OutsideRange, require_range

GREEN_PCT = MC_HIGHEST_PCT
# %: where the first step begins, "green": the wettest wood that the program handles

COOLEST_F, HOTTEST_F = 60.0, 210.0
# °F: dry bulbs that a schedule may ask for (210: the hottest row of the kiln table, AH-188, from memory)

CHECK_FIRST = "from memory, check against the publication"
SURENESS = ("read", "memory high", "memory medium-high", "memory medium", "memory low")
_CODE = re.compile(r"T(\d{1,2})[\s-]*([A-Z])(\d{1,2})")
_SOFT = "The letter-number table at hand is the one for hardwoods; softwood codes use another"


class NoSchedule(OutsideRange):
    """There is no such schedule, or none for this wood; the message says why.

    >>> str(NoSchedule("T4-Z2", "There is no class Z."))
    'no schedule T4-Z2: There is no class Z.'
    """

    def __init__(self, wanted: str, why: str) -> None:
        self.what, self.value, self.low, self.high, self.unit = "schedule", float("nan"), None, None, ""
        self.wanted, self.hint = wanted, why
        ValueError.__init__(self, f"no schedule {wanted}: {why}")


@dataclass(frozen=True, slots=True)
class Step:
    """One step: it begins when the deciding samples are down to `mc_from_pct`, and lasts until the next begins."""

    mc_from_pct: float
    dry_bulb_f: float
    wet_bulb_f: float
    rh_pct: float
    emc_pct: float
    note: str = ""

    @property
    def depression_f(self) -> float:
        """Dry bulb less wet bulb [°F]."""
        return self.dry_bulb_f - self.wet_bulb_f

    @property
    def from_green(self) -> bool:
        """Whether this is where green wood begins."""
        return self.mc_from_pct >= GREEN_PCT


@dataclass(frozen=True, slots=True)
class Schedule:
    """A schedule: its code or name, its steps from green on, and where they come from."""

    code: str
    steps: tuple[Step, ...]
    source_key: str
    provenance: str
    notes: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def __len__(self) -> int:
        return len(self.steps)

    def __getitem__(self, place: int) -> Step:
        return self.steps[place]

    @property
    def hottest_f(self) -> float:
        """The highest dry bulb of any step [°F]."""
        return max(step.dry_bulb_f for step in self.steps)

    def step_at(self, mc_pct: float) -> Step:
        """Return the step for a moisture content of the deciding samples [%].

        >>> assemble("T4-D2").step_at(38.0).wet_bulb_f
        102.0
        """
        return self.steps[self.step_number(mc_pct) - 1]

    def step_number(self, mc_pct: float) -> int:
        """Return the number of that step, 1 for the first."""
        require_range("moisture content", mc_pct, 0.0, GREEN_PCT, "%")
        return sum(step.mc_from_pct >= mc_pct for step in self.steps)


def assemble(code: str, elevation_ft: float = 0.0) -> Schedule:
    """Assemble a hardwood schedule from its code: dry and wet bulb at every breakpoint of either table.

    Parameters: `code` such as "T4-D2", temperature schedule T1 to T14, moisture class A to F, wet-bulb
    depression 1 to 8; `elevation_ft` [ft], for the humidity of the wet bulb. Returns Schedule [°F, %]. Raises
    NoSchedule for any other code, softwood ones among them.
    Source: AH-188 ch. 7, tables of temperature, wet-bulb depression and moisture class, from memory; humidity
    PSYCHROMETER; EMC WH-GTR190 Eq. 4-5.
    Check: T4-D2 for 4/4 northern red oak begins at 110 °F with a depression of 4 °F and ends at 180 and 50 °F
    (AH-188, from memory).

    >>> [(s.mc_from_pct, s.dry_bulb_f, s.wet_bulb_f) for s in assemble("T4-D2").steps][:3]
    [(400.0, 110.0, 106.0), (50.0, 110.0, 105.0), (40.0, 110.0, 102.0)]
    >>> last = assemble("T4-D2").steps[-1]
    >>> last.mc_from_pct, last.dry_bulb_f, last.depression_f, 3.0 < last.emc_pct < 4.0
    (15.0, 180.0, 50.0, True)
    """
    temperature, mc_class, number = _read_code(code)
    dry_bulbs = _column("temperature_schedules.csv", "code", temperature, "dry_bulb_f")
    breakpoints = [one.mc_from_pct for one in _class_rows(mc_class)]
    depressions = dict(zip(breakpoints, _depressions(number), strict=True))
    steps = tuple(
        table_step(begin, _governing(dry_bulbs, begin), _governing(depressions, begin), elevation_ft)
        for begin in sorted({*dry_bulbs, *depressions}, reverse=True)
    )
    least_sure = max(_provenances(temperature, mc_class, number), key=_rank)
    return Schedule(f"{temperature}-{mc_class}{number}", steps, "AH-188", f"{least_sure}; {CHECK_FIRST}")


def table_step(mc_from_pct: float, dry_bulb_f: float, depression_f: float, elevation_ft: float = 0.0) -> Step:
    """Return a step from a dry bulb and a wet-bulb depression, as the tables and most kilns state it.

    Parameters: `mc_from_pct` [%], 0 to 400; `dry_bulb_f` [°F], 60 to 210; `depression_f` [°F], 0 to 80. A
    depression larger than the driest air can have at that dry bulb gives humidity 0 and a note. Raises
    OutsideRange. Source: PSYCHROMETER; WH-GTR190 Eq. 4-5.

    >>> round(table_step(30, 120, 20).rh_pct)
    49
    """
    require_range("moisture content", mc_from_pct, 0.0, GREEN_PCT, "%")
    require_range("dry bulb", dry_bulb_f, COOLEST_F, HOTTEST_F, "°F")
    require_range("wet-bulb depression", depression_f, 0.0, 80.0, "°F")
    wet_f = dry_bulb_f - depression_f
    try:
        humidity = rh_pct_from_wet_bulb(dry_bulb_f, wet_f, elevation_ft)
    except OutsideRange:
        note = "Drier than air can be at this dry bulb: the kiln gives what it can"
        return Step(mc_from_pct, dry_bulb_f, wet_f, 0.0, 0.0, note)
    return Step(mc_from_pct, dry_bulb_f, wet_f, humidity, equilibrium_mc_pct(dry_bulb_f, humidity))


def step_emc_pct(dry_bulb_f: float, depression_f: float, elevation_ft: float = 0.0) -> float:
    """Return the EMC that a dry bulb and a wet-bulb depression hold [%]. As `table_step`, as a bare figure.

    >>> round(step_emc_pct(110, 4), 1) > 17
    True
    """
    return table_step(GREEN_PCT, dry_bulb_f, depression_f, elevation_ft).emc_pct


def humid_step(mc_from_pct: float, dry_bulb_f: float, rh_pct: float, elevation_ft: float = 0.0) -> Step:
    """Return a step from a dry bulb and a relative humidity, as sensors state it.

    Parameters: `mc_from_pct` [%], 0 to 400; `dry_bulb_f` [°F], 60 to 210; `rh_pct` [%], 0 to 100. Raises
    OutsideRange. Source: PSYCHROMETER; WH-GTR190 Eq. 4-5.

    >>> round(humid_step(30, 120, 49).wet_bulb_f)
    100
    """
    require_range("moisture content", mc_from_pct, 0.0, GREEN_PCT, "%")
    require_range("dry bulb", dry_bulb_f, COOLEST_F, HOTTEST_F, "°F")
    wet_f = wet_bulb_f(dry_bulb_f, rh_pct, elevation_ft)
    return Step(mc_from_pct, dry_bulb_f, wet_f, rh_pct, equilibrium_mc_pct(dry_bulb_f, rh_pct))


def own_schedule(name: str, steps: Sequence[Step], note: str = "") -> Schedule:
    """Return a yard's own schedule; its steps may come in any order, the wettest one begins at green.

    Raises NoSchedule without steps, or with two that begin at the same moisture content.

    >>> own_schedule("Slow walnut", [humid_step(30, 110, 60), humid_step(400, 100, 80)]).steps[0].rh_pct
    80
    """
    if not steps:
        raise NoSchedule(name, "It has no steps.")
    ordered = sorted(steps, key=lambda step: -step.mc_from_pct)
    begins = [step.mc_from_pct for step in ordered]
    if len(set(begins)) < len(begins):
        raise NoSchedule(name, "Two of its steps begin at the same moisture content.")
    first = ordered[0]
    green = Step(GREEN_PCT, first.dry_bulb_f, first.wet_bulb_f, first.rh_pct, first.emc_pct, first.note)
    notes = (note,) if note else ()
    return Schedule(name, (green, *ordered[1:]), "COMMON", "the yard's own schedule", notes)


@dataclass(frozen=True, slots=True)
class StepNow:
    """Where a run stands: the step due, what decided, and when the next one is due."""

    number: int
    step: Step
    controlling_mc_pct: float
    next_at_mc_pct: float | None
    reason: str


def step_now(schedule: Schedule, sample_mcs_pct: Sequence[float], running: int = 1) -> StepNow:
    """Return the step that the samples call for; a step once begun is never taken back.

    Parameters: `sample_mcs_pct` [%], the samples now; `running` number of the step the kiln is in, from 1.
    Raises OutsideRange. Source: AH-188 ch. 7 and 9, mean of the wettest half, from memory (high).

    >>> due = step_now(assemble("T4-D2"), [44.0, 39.0, 37.0, 30.0])
    >>> due.number, due.controlling_mc_pct, due.next_at_mc_pct
    (2, 41.5, 40.0)
    """
    require_range("number of the running step", running, 1, len(schedule.steps))
    deciding = controlling_mc_pct(sample_mcs_pct)
    number = max(running, schedule.step_number(deciding))
    following = schedule.steps[number].mc_from_pct if number < len(schedule.steps) else None
    reason = f"the wetter half of {len(sample_mcs_pct)} samples averages {deciding:.1f}%"
    return StepNow(number, schedule.steps[number - 1], deciding, following, reason)


@dataclass(frozen=True, slots=True)
class _ClassRow:
    step: int
    mc_from_pct: float


def _read_code(code: str) -> tuple[str, str, int]:
    typed = code.strip().upper().replace("–", "-")
    match = _CODE.fullmatch(typed)
    if not match:
        why = _SOFT if _CODE.match(typed) else "A code reads like T4-D2."
        raise NoSchedule(code, why)
    temperature, mc_class, number = f"T{int(match[1])}", match[2], int(match[3])
    if not 1 <= int(match[1]) <= 14:
        raise NoSchedule(code, "Temperature schedules run from T1 to T14.")
    if not _class_rows(mc_class):
        raise NoSchedule(code, f"The breakpoints of class {mc_class} are not at hand; classes A to F are.")
    if not 1 <= number <= 8:
        raise NoSchedule(code, f"Depression schedules for hardwoods run from 1 to 8. {_SOFT}.")
    return temperature, mc_class, number


@cache
def _column(name: str, by: str, key: str, value: str) -> dict[float, float]:
    """One table's figures by the moisture content at which each begins, from green on."""
    rows = [row for row in table(name) if row[by] == key]
    return {float(row["mc_from_pct"] or GREEN_PCT): float(row[value]) for row in rows}


@cache
def _class_rows(mc_class: str) -> tuple[_ClassRow, ...]:
    rows = [row for row in table("mc_classes.csv") if row["mc_class"] == mc_class]
    return tuple(_ClassRow(int(row["step"]), float(row["mc_from_pct"] or GREEN_PCT)) for row in rows)


@cache
def _depressions(number: int) -> tuple[float, ...]:
    rows = [row for row in table("depression_schedules.csv") if row["number"] == str(number)]
    return tuple(float(row["depression_f"]) for row in rows)


def _governing(figures: dict[float, float], mc_from_pct: float) -> float:
    """The figure in force when wood is down to a moisture content."""
    return figures[min(begin for begin in figures if begin >= mc_from_pct)]


def _provenances(temperature: str, mc_class: str, number: int) -> list[str]:
    wanted = (
        ("temperature_schedules.csv", "code", temperature),
        ("mc_classes.csv", "mc_class", mc_class),
        ("depression_schedules.csv", "number", str(number)),
    )
    return [row["provenance"] for name, by, key in wanted for row in table(name) if row[by] == key]


def _rank(provenance: str) -> int:
    return SURENESS.index(provenance) if provenance in SURENESS else len(SURENESS)
