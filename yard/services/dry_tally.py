"""The dry tally of a slab: what it measures now that it is dry, or will measure by its wood's shrinkage."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db import transaction

from yard.models import Person, Slab
from yard.services.dry_slabs import slabs_call_dry
from yard.services.slab_sizes import sizes_set
from yard.services.slab_workings import slab_workings
from yard.services.slabs import slab_change
from yard.wood.ranges import OutsideRange
from yard.wood.shrinkage import dry_size
from yard.wood.species import NoFigure
from yard.wood.working import Working
from yard.wood.working_moisture import working_net_board_feet, working_shrinkage


@dataclass(frozen=True, slots=True)
class DryTally:
    """Dry sizes and footage: measured, or expected by shrinkage at `mc_pct`; or why there is none."""

    mc_pct: float
    measured: bool
    thickness_in: float | None = None
    mean_width_in: float | None = None
    length_in: float | None = None
    net_bf: float | None = None
    workings: tuple[Working, ...] = ()
    why_not: str = ""


@transaction.atomic
def dry_tally_keep(
    *,
    by: Person | None,
    slab: Slab,
    version: int,
    mc_pct: float,
    on: date,
    thickness_in: float | None = None,
    widths_in: Sequence[float] = (),
    length_in: float | None = None,
) -> Slab:
    """Call a slab dry at the MC measured, with the sizes measured; those left empty follow from shrinkage.

    Errors: ChangedMeanwhile, SlabRefused, OutsideRange; then nothing is saved.
    """
    row = slab_change(
        by=by,
        slab=slab,
        version=version,
        dry_thickness_in=thickness_in,
        dry_widths_in=list(widths_in),
        dry_length_in=length_in,
    )
    (dry,) = slabs_call_dry(slabs=[row], mc_pct=mc_pct, on=on, by=by)
    return dry


def dry_tally(slab: Slab, target_pct: float) -> DryTally:
    """What was measured; for wood that is not dry yet, what shrinkage leaves of it at the yard's dry target."""
    if slab.net_bf is not None and (slab.dry_widths_in or slab.dry_length_in):
        return _measured(slab)
    mc_pct = slab.dry_mc_pct if slab.dry_mc_pct is not None else target_pct
    try:
        size = dry_size(slab.species_key, slab.thickness_in, slab.mean_width_in, mc_pct)
        net = working_net_board_feet(slab.species_key, slab.green_bf, mc_pct)
        width = working_shrinkage(slab.species_key, "tangential", mc_pct)
    except (NoFigure, OutsideRange) as error:
        return DryTally(mc_pct, False, why_not=f"{error}.")
    notes = ("Taken as flat-sawn: the width shrinks tangentially, the thickness radially; the length hardly at all.",)
    workings = (net, replace(width, title="Shrinkage of the width", notes=(*width.notes, *notes)))
    return DryTally(
        mc_pct, False, size.thickness_in, size.width_in, slab.length_in, slab.net_bf or net.result, workings
    )


def _measured(slab: Slab) -> DryTally:
    """The figures of the sizes that were measured, worked out as the green ones are."""
    dry = Slab(
        kind=slab.kind,
        count=slab.count,
        quarters=slab.quarters,
        thickness_in=slab.dry_thickness_in or slab.thickness_in,
        widths_in=slab.dry_widths_in or slab.widths_in,
        tally=slab.tally,
        length_in=slab.dry_length_in or slab.length_in,
        area_rule=slab.area_rule,
    )
    sizes_set(dry, quarters_given=True)
    workings = tuple(replace(working, title=f"{working.title}, dry") for working in slab_workings(dry))
    return DryTally(
        slab.dry_mc_pct or 0.0, True, slab.dry_thickness_in, dry.mean_width_in, dry.length_in, slab.net_bf, workings
    )
