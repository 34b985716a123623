"""Calling wood dry: the moisture measured, the day, and the net tally that is sold on."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction

from yard.models import BayKind, Person, Slab, SlabState
from yard.services.history import history_add
from yard.services.memberships import slabs_lock
from yard.services.refused import SlabRefused
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.shrinkage import net_board_feet_bf
from yard.wood.species import NoFigure

DRIEST_PCT, WETTEST_PCT = 3.0, 30.0  # what can be called dry at all: the program's own guard, no source


@transaction.atomic
def slabs_call_dry(*, slabs: Iterable[Slab], mc_pct: float, on: date, by: Person | None, note: str = "") -> list[Slab]:
    """Mark slabs dry at a measured MC. Their net tally is worked out by shrinkage where it was not measured.

    Loose slabs and those in a dry store are for sale from now on; those in a kiln are when they leave it.
    Errors: OutsideRange for an MC that is not dry; SlabRefused for slabs that are gone.
    """
    require_range("moisture content of dry wood", mc_pct, DRIEST_PCT, WETTEST_PCT, "%")
    locked = slabs_lock(slabs)
    for slab in locked:
        if slab.is_gone:
            raise SlabRefused(f"{slab.tag} is {slab.get_state_display().lower()}: take it off the list.")
        before = slab.dry_mc_pct
        slab.dry_mc_pct, slab.dry_on = mc_pct, on
        if not slab.dry_widths_in and not slab.dry_length_in:
            slab.net_bf = _net_bf(slab, mc_pct)
        if slab.stack_id is None or (slab.stack.bay and slab.stack.bay.kind == BayKind.DRY_STORE):
            slab.state = SlabState.DRY
        slab.version += 1
        slab.save()
        history_add(slab, by=by, action="called dry", changes={"dry_mc_pct": [before, mc_pct]}, note=note)
    return locked


def _net_bf(slab: Slab, mc_pct: float) -> float:
    """The dry tally by shrinkage; where no shrinkage is published for the wood, the green tally stands."""
    try:
        return net_board_feet_bf(slab.species_key, slab.green_bf, mc_pct)
    except (NoFigure, OutsideRange):
        return slab.green_bf
