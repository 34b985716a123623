"""Which schedule a wood takes at a thickness: as printed, or by a stated rule where nothing is printed."""

from dataclasses import dataclass

from kilns.physics.schedules import CHECK_FIRST, NoSchedule, Schedule, assemble
from kilns.physics.tables import table
from yard.wood.ranges import require_range
from yard.wood.species import Species
from yard.wood.species import species as species_of

THINNEST_IN, THICKEST_IN = 0.5, 4.0
# in, nominal: what a schedule is offered for (our own limits; the index prints 4/4 to 8/4)
PRINTED_TO_IN = 2.0
GENTLER_EACH_IN = 1.0
# in: beyond 8/4 one step gentler for each inch begun (our own rule, no source)
COOLER_START_F = 10.0
# °F: how much cooler a gentler temperature schedule begins (our own rule, no source)

SOFTWOOD = (
    "its softwood codes use another depression table, which is not at hand; enter the schedule that you trust "
    "as your own"
)


@dataclass(frozen=True, slots=True)
class ScheduleChoice:
    """A schedule for a wood and thickness with what it rests on.

    `basis` is "printed", "nearest thickness" (between or under the printed ones: the gentler neighbour), "gentler
    for thick stock" (our own rule beyond 8/4) or "drying group" (the index does not print the wood: the gentlest
    code of the woods of its group, ours, no source). `wood` is the wood as the index names it.
    """

    schedule: Schedule
    wood: str
    basis: str
    provenance: str
    estimated: bool
    notes: tuple[str, ...] = ()


def schedule_for(species: str | Species, thickness_in: float, elevation_ft: float = 0.0) -> ScheduleChoice:
    """Return the schedule for green wood of a species at a nominal thickness.

    Parameters: `species` key or Species; `thickness_in` nominal [in], 0.5 to 4. Raises UnknownSpecies,
    OutsideRange, and NoSchedule where the index gives none (softwoods; some slow woods at 8/4).
    Source: AH-188 ch. 7, index of hardwood schedules, from memory row by row.
    Check: northern red oak T4-D2 at 4/4, T3-D1 at 8/4 (memory high).

    >>> schedule_for("oak-northern-red", 1).schedule.code, schedule_for("oak-northern-red", 2).schedule.code
    ('T4-D2', 'T3-D1')
    >>> schedule_for("oak-northern-red", 3).basis
    'gentler for thick stock'
    """
    wood = species_of(species)
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    if wood.wood_class == "softwood":
        raise NoSchedule(f"for {wood.plain_name}", SOFTWOOD)
    rows = _rows_of(wood.key)
    if not rows:
        return _stand_in(wood, thickness_in, elevation_ft)
    row = _row_for(rows, thickness_in)
    if not row["code"]:
        raise NoSchedule(f"for {wood.plain_name} at {thickness_in:g} in", row["note"])
    return _from_row(row, thickness_in, elevation_ft)


def gentler_code(code: str, times: int = 1) -> str:
    """Return a milder code: the depression one number down, the temperature schedule one that begins cooler.

    Parameters: `code` that `assemble` reads; `times` 0 to 8. No step of the answer is hotter or drier.
    Source: our own rule for stock thicker than the index prints, in the direction that AH-188 ch. 7 takes from
    4/4 to 8/4 (memory medium); no source for the amount.

    >>> gentler_code("T5-B3"), gentler_code("T3-D1"), gentler_code("T1-A1")
    ('T3-B2', 'T2-D1', 'T1-A1')
    """
    require_range("times gentler", times, 0, 8)
    for _ in range(times):
        milder = assemble(code)
        temperature, rest = milder.code.split("-")
        code = f"{_cooler(temperature)}-{rest[0]}{max(1, int(rest[1:]) - 1)}"
    return assemble(code).code


def _cooler(temperature: str) -> str:
    """The hottest temperature schedule that begins 10 °F cooler and is nowhere hotter; T1 and T2 end at T1."""
    columns: dict[str, list[float]] = {}
    for row in table("temperature_schedules.csv"):
        columns.setdefault(row["code"], []).append(float(row["dry_bulb_f"]))
    now = columns[temperature]

    def milder(other: list[float]) -> bool:
        return all(a <= b for a, b in zip(other, now, strict=True))

    fits = [key for key, one in columns.items() if milder(one) and one[0] <= now[0] - COOLER_START_F]
    return max(fits, key=lambda key: columns[key]) if fits else "T1"


def _rows_of(key: str) -> list[dict[str, str]]:
    return [row for row in table("schedule_index.csv") if key in row["species_keys"].split(";")]


def _row_for(rows: list[dict[str, str]], thickness_in: float) -> dict[str, str]:
    """The printed row, or the gentler neighbour: the next thicker one, the thickest where there is none."""
    ordered = sorted(rows, key=lambda row: float(row["thickness_to_in"]))
    return next((row for row in ordered if thickness_in <= float(row["thickness_to_in"])), ordered[-1])


def _from_row(row: dict[str, str], thickness_in: float, elevation_ft: float) -> ScheduleChoice:
    sure, wood = f"{row['provenance']}; {CHECK_FIRST}", row["wood_as_printed"]
    if thickness_in > PRINTED_TO_IN:
        times = int(-(-(thickness_in - PRINTED_TO_IN) // GENTLER_EACH_IN))
        code = gentler_code(row["code"], times)
        thick = f"Thicker than the index prints: {row['code']} of 8/4 made milder by a rule of our own, no source"
        how = f"{sure}; made gentler beyond 8/4 by our own rule, no source"
        return ScheduleChoice(assemble(code, elevation_ft), wood, "gentler for thick stock", how, True, (thick,))
    schedule = assemble(row["code"], elevation_ft)
    if float(row["thickness_from_in"]) <= thickness_in:
        return ScheduleChoice(schedule, wood, "printed", sure, False, _notes(row))
    neighbour = f"The index prints {row['code']} for {row['thickness_from_in']} in: the gentler neighbour"
    notes = (neighbour, *_notes(row))
    return ScheduleChoice(schedule, wood, "nearest thickness", sure, True, notes)


def _notes(row: dict[str, str]) -> tuple[str, ...]:
    return (row["note"],) if row["note"] else ()


def _stand_in(wood: Species, thickness_in: float, elevation_ft: float) -> ScheduleChoice:
    """The gentlest printed code among woods of the same drying group, said to be a stand-in."""
    group = [
        row for row in table("schedule_index.csv")
        if row["code"] and _readable(row["code"])
        and any(key and species_of(key).drying_group == wood.drying_group for key in row["species_keys"].split(";"))
    ]  # fmt: skip
    names = {row["wood_as_printed"] for row in group}
    per_wood = [_row_for([row for row in group if row["wood_as_printed"] == name], thickness_in) for name in names]
    found = _from_row(min(per_wood, key=_mildness), thickness_in, elevation_ft)
    how = f"{found.provenance}; taken over from another wood of the drying group, no source"
    note = f"The index does not print {wood.plain_name}: the gentlest code of the {wood.drying_group} woods"
    return ScheduleChoice(found.schedule, found.wood, "drying group", how, True, (note, *found.notes))


def _mildness(row: dict[str, str]) -> tuple[float, float, str]:
    """Sorts codes from the moistest and coolest on; the wood's name makes ties certain."""
    schedule = assemble(row["code"])
    driest = sum(schedule.step_at(mc).emc_pct for mc in (60, 45, 32, 28, 22))
    return (-driest, schedule.hottest_f, row["wood_as_printed"])


def _readable(code: str) -> bool:
    try:
        assemble(code)
    except NoSchedule:
        return False
    return True
