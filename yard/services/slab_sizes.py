"""What follows from the sizes of a slab: widths, face area and board feet."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from yard.models import Slab, SlabKind
from yard.wood import board_feet
from yard.wood.lumber_sizes import nominal_from_sawn_in
from yard.wood.ranges import require_range

Line = tuple[float, float, int]  # width in inches, length in inches, count

WIDEST_IN = 150.0  # the program's own guard against a slip of the hand, no source
MOST_STATIONS = 60
MOST_PIECES = 2_000

NAMED_TO_IN = 4.0  # 16/4, the thickest of the trade's table; above it every whole quarter is counted


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of a piece or, for a lot, of all its pieces: area of one face of all, footage of all."""

    count: int
    mean_width_in: float
    narrowest_in: float
    widest_in: float
    area_in2: float
    board_feet_bf: float


def quarters_suggest(thickness_in: float) -> float:
    """The nominal thickness in quarters that wood sawn this thick passes for; a beam's is its own.

    Errors: OutsideRange under 3/8 in and over 40 in.
    """
    if thickness_in <= NAMED_TO_IN:
        return nominal_from_sawn_in(thickness_in) * 4
    return float(int(require_range("thickness", thickness_in, NAMED_TO_IN, 40, "in") * 4 + 1e-9))


def sizes_of(
    *,
    kind: str,
    count: int,
    quarters: float,
    widths_in: Sequence[float],
    tally: Sequence[Mapping[str, float]],
    length_in: float,
    area_rule: str,
) -> Sizes:
    """Work out the Sizes of a slab, or of a lot from its tally. Errors: OutsideRange with what to type."""
    nominal_in = quarters / 4
    if kind == SlabKind.LOT:
        lines = tally_lines(tally)
        area_in2 = lot_area_in2(lines)
        return Sizes(
            count=sum(pieces for _, _, pieces in lines),
            mean_width_in=area_in2 / sum(length * pieces for _, length, pieces in lines),
            narrowest_in=min(width for width, _, _ in lines),
            widest_in=max(width for width, _, _ in lines),
            area_in2=area_in2,
            board_feet_bf=lot_board_feet_bf(lines, nominal_in),
        )
    widths = [_width(width) for width in widths_in]
    require_range("number of widths", len(widths), 1, MOST_STATIONS, "", "Type at least one width.")
    if len(widths) < 3:  # one width all along, or the mean of both ends
        mean_width_in = sum(widths) / len(widths)
        area_in2 = mean_width_in * length_in
        one_bf = board_feet.board_feet_bf(nominal_in, mean_width_in, length_in / 12)
    else:
        area_in2 = board_feet.slab_area_in2(widths, length_in, area_rule)
        mean_width_in = area_in2 / length_in
        one_bf = board_feet.slab_board_feet_bf(widths, length_in, nominal_in, area_rule)
    return Sizes(count, mean_width_in, min(widths), max(widths), area_in2 * count, one_bf * count)


def sizes_set(slab: Slab, *, quarters_given: bool) -> None:
    """Work out what follows from the sizes: widths, area, green footage, and the dry tally where measured."""
    if not quarters_given:
        slab.quarters = quarters_suggest(slab.thickness_in)
    slab.widths_in = [float(width) for width in slab.widths_in]
    slab.tally = [dict(line) for line in slab.tally]
    sizes: Sizes = sizes_of(
        kind=slab.kind, count=slab.count, quarters=slab.quarters, widths_in=slab.widths_in,
        tally=slab.tally, length_in=slab.length_in, area_rule=slab.area_rule,
    )  # fmt: skip
    slab.count = sizes.count
    slab.mean_width_in, slab.narrowest_in = sizes.mean_width_in, sizes.narrowest_in
    slab.area_in2, slab.green_bf = sizes.area_in2, sizes.board_feet_bf
    if slab.dry_widths_in or slab.dry_length_in or (slab.dry_thickness_in and slab.tally):
        dry = sizes_of(
            kind=slab.kind, count=slab.count, quarters=slab.quarters,
            widths_in=slab.dry_widths_in or slab.widths_in, tally=slab.tally,
            length_in=slab.dry_length_in or slab.length_in, area_rule=slab.area_rule,
        )  # fmt: skip
        slab.net_bf = dry.board_feet_bf


def lot_area_in2(lines: Iterable[Line]) -> float:
    """The area of one face of all boards of a lot."""
    return sum(width_in * length_in * count for width_in, length_in, count in lines)


def lot_board_feet_bf(lines: Iterable[Line], nominal_in: float) -> float:
    """The exact footage of all boards of a lot."""
    return sum(
        count * board_feet.board_feet_bf(nominal_in, width_in, length_in / 12) for width_in, length_in, count in lines
    )


def tally_lines(tally: Sequence[Mapping[str, float]]) -> list[Line]:
    """The lines of a lot's tally, each looked at. Errors: OutsideRange with what to type."""
    lines = [(_width(row["width_in"]), float(row["length_in"]), int(row["count"])) for row in tally]
    pieces = sum(count for _, _, count in lines)
    require_range("number of boards", pieces, 1, MOST_PIECES, "", "Tally at least one board.")
    for _, length_in, count in lines:
        require_range("length of a board", length_in, 1, 960, "in")
        require_range("number of boards", count, 1, MOST_PIECES)
    return lines


def _width(width_in: float) -> float:
    return require_range(
        "width", float(width_in), 0.25, WIDEST_IN, "in", "Widths are in inches unless you add cm or mm."
    )
