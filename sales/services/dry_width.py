"""How wide a piece is as dry wood: what a buyer asks for, what a price's class goes by, what a document says.

Wood shrinks across its width as it dries: a slab sawn 20 in wide is not 20 in wide at 8%. Where the dry widths were
measured they count, else what shrinkage leaves of the sawn ones, and which of them it is is always said.
"""

from dataclasses import dataclass

from django.db.models import Case, F, FloatField, Q, When
from django.db.models.functions import Coalesce

from sales.services.footage import DRY_MC_PCT
from yard.models import Slab, SlabState
from yard.wood.ranges import OutsideRange
from yard.wood.shrinkage import net_board_feet_bf

WIDER_DRY = 0.98  # a dry width may have been measured so much over the sawn one: the yard's form allows 2%
AS_SAWN, MEASURED = "as sawn", "measured dry"

# The net tally differs from the green one by width alone, and by a length that was measured dry: it gives the width.
DRY_WIDTH_IN = Case(
    When(
        net_bf__isnull=False, green_bf__gt=0,
        then=F("mean_width_in") * F("net_bf") / F("green_bf") * F("length_in")
        / Coalesce(F("dry_length_in"), F("length_in")),
    ),
    default=F("mean_width_in"), output_field=FloatField(),
)  # fmt: skip


def as_long_as(least_in: float) -> Q:
    """The filter for pieces of at least that length [in], measured dry where it was; wood hardly shrinks along it."""
    return Q(length_in__gte=least_in) & (Q(dry_length_in__isnull=True) | Q(dry_length_in__gte=least_in))


def dry_length_in(slab: Slab) -> float:
    """The length of a slab [in], measured dry where it was."""
    return slab.dry_length_in or slab.length_in


@dataclass(frozen=True, slots=True)
class DryWidth:
    """A mean width [in], the narrowest place [in], and whether they are measured, reckoned or as sawn."""

    width_in: float
    narrowest_in: float
    how: str


def dry_width(slab: Slab, mc_pct: float = DRY_MC_PCT) -> DryWidth:
    """The width of a slab as dry wood; of wood that still dries what is expected of it at `mc_pct` [%].

    Green wood that lies about is sold as it is, and wood without a published shrinkage stands as sawn.
    """
    if slab.net_bf is not None and slab.green_bf:
        length = slab.length_in / dry_length_in(slab)
        share = slab.net_bf / slab.green_bf * length
        how = AS_SAWN if abs(share - 1) < 1e-9 else f"reckoned at {slab.dry_mc_pct:g}%" if slab.dry_mc_pct else "dry"
        if slab.dry_widths_in:
            return DryWidth(slab.mean_width_in * share, min(slab.dry_widths_in), MEASURED)
    elif slab.state == SlabState.SAWN:
        share, how = 1.0, f"{AS_SAWN}, green"
    else:
        share = width_left(slab.species_key, mc_pct)
        how = f"expected at {mc_pct:g}%" if share < 1 else AS_SAWN
    return DryWidth(slab.mean_width_in * share, slab.narrowest_in * share, how)


def width_left(species_key: str, mc_pct: float) -> float:
    """What shrinkage to `mc_pct` [%] leaves of a sawn width, as a share; 1 where none is published.

    Source: as `net_board_feet_bf`, which shrinks widths alone: WH-GTR190 Eq. 4-7, Table 4-3.

    >>> round(width_left("ash-white", 0), 3), width_left("", 8)
    (0.922, 1.0)
    """
    try:
        return net_board_feet_bf(species_key, 1.0, mc_pct)
    except OutsideRange:  # no figure, no such wood, or an MC out of range
        return 1.0
