"""The board feet that a line is charged by: gross or net, measured or expected, rounded as the order says."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from sales.models import FootageBasis, FootageRounding
from yard.models import Slab
from yard.wood.ranges import OutsideRange
from yard.wood.shrinkage import net_board_feet_bf
from yard.wood.species import NoFigure

STEPS = {
    FootageRounding.HUNDREDTH: Decimal("0.01"),
    FootageRounding.TENTH: Decimal("0.1"),
    FootageRounding.WHOLE: Decimal(1),
}


DRY_MC_PCT = 8.0  # what wood is taken to be dried to where neither order nor yard says
MEASURED_DRY = "net, measured dry"
NET_BUT_RECKONED = "Net, as dry wood: measured dry or reckoned, as each line says"
NET_NOT_MEASURED = "Net, as dry wood: reckoned, not measured, as each line says"


@dataclass(frozen=True, slots=True)
class Footage:
    """Board feet to charge, and how they come about."""

    bf: Decimal
    how: str


def rounded_bf(bf: float, rounding: str) -> Decimal:
    """Footage rounded once, at the end, halves up.

    Source of a tenth: TN-0080-07-07, table 3, prints pieces to 0.1 bf. Halves up is common practice, no source.

    >>> rounded_bf(11.6667, "tenth"), rounded_bf(22.25, "tenth"), rounded_bf(22.5, "whole")
    (Decimal('11.7'), Decimal('22.3'), Decimal('23'))
    """
    exact = Decimal(repr(round(bf, 9)))  # 22.25 that came out a hair lower is 22.25
    return exact.quantize(STEPS[FootageRounding(rounding)], ROUND_HALF_UP)


def slab_footage(slab: Slab, *, basis: str, rounding: str, mc_pct: float) -> Footage:
    """A slab's footage on the order's basis.

    Net footage is what was measured or worked out when the slab was called dry; for wood that is not dry yet it is
    what shrinkage to `mc_pct` leaves of the green tally, and says so. Where no shrinkage is published for the wood,
    the green tally stands, and that is said too.
    """
    if basis == FootageBasis.GROSS:
        return Footage(rounded_bf(slab.green_bf, rounding), "gross, as sawn")
    if slab.net_bf is not None:
        measured = bool(slab.dry_widths_in or slab.dry_length_in)
        how = MEASURED_DRY if measured else f"net, by shrinkage to {slab.dry_mc_pct:g}%"
        return Footage(rounded_bf(slab.net_bf, rounding), how)
    try:
        expected = net_board_feet_bf(slab.species_key, slab.green_bf, mc_pct)
    except (NoFigure, OutsideRange):
        return Footage(rounded_bf(slab.green_bf, rounding), "as sawn: no shrinkage is known for this wood")
    return Footage(rounded_bf(expected, rounding), f"net, expected at {mc_pct:g}%")


def basis_said(basis: str, words: str, hows: Iterable[str]) -> str:
    """On what basis wood is charged, with the truth about net footage: all, some or none of it was measured dry.

    Parameters: words are those of the basis; hows say how the footage of each line came about.

    >>> basis_said("net", "Net: measured dry", ["net, measured dry"])
    'Net: measured dry'
    >>> basis_said("net", "Net: measured dry", ["net, expected at 8%"])
    'Net, as dry wood: reckoned, not measured, as each line says'
    """
    parts = {part for how in hows for part in how.split("; ")}
    if basis != FootageBasis.NET or not parts or parts == {MEASURED_DRY}:
        return words
    return NET_BUT_RECKONED if MEASURED_DRY in parts else NET_NOT_MEASURED
