"""Which published schedule answers a question, and what a kiln makes of it."""

from dataclasses import dataclass

from kilns.models import Kiln
from kilns.physics.schedule_index import schedule_for
from kilns.physics.schedules import Schedule, assemble
from kilns.services.schedule_steps import StepRow, capped_rows, step_rows
from yard.wood.quarters import quarters_text
from yard.wood.species import species as species_of
from yard.wood.typed_numbers import CannotRead


@dataclass(frozen=True)
class Found:
    """A published schedule with what it rests on, its rows, and the rows for a kiln where one was named."""

    name: str
    schedule: Schedule
    provenance: str
    basis: str
    notes: tuple[str, ...]
    rows: list[StepRow]
    kiln: Kiln | None
    kiln_rows: list[StepRow]
    species_key: str
    thickness_in: float | None

    @property
    def capped(self) -> bool:
        """Whether the kiln changes any step."""
        return any(row.capped for row in self.kiln_rows)


def schedule_found(
    *, species_key: str = "", thickness_in: float | None = None, code: str = "", kiln: Kiln | None = None,
    elevation_ft: float = 0.0,
) -> Found:  # fmt: skip
    """Find a schedule by its code, or by wood and thickness. Errors: NoSchedule, OutsideRange."""
    if code:
        schedule = assemble(code, elevation_ft)
        name, provenance, basis, notes = schedule.code, schedule.provenance, "the code as typed", schedule.notes
        species_key, thickness_in = "", None
    else:
        choice = schedule_for(species_key, thickness_in, elevation_ft)
        schedule, provenance, notes = choice.schedule, choice.provenance, choice.notes
        basis = f"{choice.basis}: {choice.wood}"
        name = f"{species_of(species_key).plain_name.capitalize()} {thickness_words(thickness_in)}"
    return Found(
        name, schedule, provenance, basis, notes, step_rows(schedule, elevation_ft), kiln,
        capped_rows(schedule, kiln.hottest_f, elevation_ft) if kiln else [], species_key, thickness_in,
    )  # fmt: skip


def thickness_words(thickness_in: float) -> str:
    """A thickness in quarters where it is one, else in inches."""
    try:
        return quarters_text(thickness_in)
    except CannotRead:
        return f"{thickness_in:g} in"
