"""The schedule of a charge: a kept one, or the published one for its wood, which is kept when the run is planned."""

from kilns.models import Schedule
from kilns.physics import schedules as physics
from kilns.physics.schedule_index import ScheduleChoice, schedule_for
from kilns.services.charge_stacks import WoodOfStack
from kilns.services.schedule_find import thickness_words
from kilns.services.schedules import physics_of, schedule_take_over
from yard.models import Person, Yard
from yard.wood.species import species as species_of


def charge_schedule(kept: Schedule | None, wood: WoodOfStack, yard: Yard) -> tuple[physics.Schedule, str]:
    """The schedule as the physics take it, and where it comes from. Errors: NoSchedule, OutsideRange."""
    if kept is not None:
        return physics_of(kept), kept.provenance or kept.name
    choice = _published(wood, yard)
    return choice.schedule, f"{choice.schedule.code}, {choice.basis}: {choice.wood}; {choice.provenance}"


def charge_schedule_keep(*, kept: Schedule | None, wood: WoodOfStack, yard: Yard, by: Person | None) -> Schedule:
    """The kept schedule; a published one is kept now, once for each code, wood and thickness."""
    if kept is not None:
        return kept
    choice = _published(wood, yard)
    same = {"code": choice.schedule.code, "species_key": wood.species_key, "hidden_at": None}
    found = Schedule.objects.filter(**same).exclude(provenance__contains="changed").first()
    if found is not None:
        return found
    name = f"{species_of(wood.species_key).plain_name.capitalize()} {thickness_words(_nominal_in(wood))}"
    taken = Schedule.objects.filter(name__istartswith=name).count()
    return schedule_take_over(
        by=by, code=choice.schedule.code, elevation_ft=yard.elevation_ft, provenance=choice.provenance,
        name=f"{name} ({taken + 1})" if taken else name, species_key=wood.species_key,
        thickness_in=_nominal_in(wood),
    )  # fmt: skip


def _published(wood: WoodOfStack, yard: Yard) -> ScheduleChoice:
    return schedule_for(wood.species_key, _nominal_in(wood), yard.elevation_ft)


def _nominal_in(wood: WoodOfStack) -> float:
    """The nominal thickness that a sawn one stands for: quarters, with a quarter's worth of sawing over."""
    return max(1.0, int(wood.thickness_in * 4 + 1e-6) / 4)
