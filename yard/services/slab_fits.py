"""Whether a slab can have come out of its log: a slip of the hand is caught at the saw, not at the sale."""

from collections.abc import Iterable

from yard import quantities
from yard.models import Log, Slab, SlabKind
from yard.services.log_scale import large_end_taken_in
from yard.services.refused import SlabRefused

# The program's own guards, no source: an oval or flared end, a large end not measured, and the log's trim.
OVAL_IN = 1.0
NOT_MEASURED = 1.15
TRIM_IN = 12.0


def widest_that_fits_in(log: Log) -> float:
    """The widest that a slab of this log may be."""
    large_in = large_end_taken_in(log.small_end_in, log.large_end_in, log.length_ft)
    return large_in * (1 if log.large_end_in is not None else NOT_MEASURED) + OVAL_IN


def refuse_unless_fits(slab: Slab) -> None:
    """Raise SlabRefused beside the field when the slab is wider, thicker or longer than its log."""
    if slab.log is None:
        return
    log, limit_in = slab.log, widest_that_fits_in(slab.log)
    is_lot = slab.kind == SlabKind.LOT
    widest_in = max(_widths(slab), default=0.0)
    if widest_in > limit_in:
        field = "tally" if is_lot else "widths_in"
        raise SlabRefused(_too_wide(log, widest_in, limit_in), field)
    if slab.thickness_in > limit_in:
        raise SlabRefused(
            f"{quantities.thickness(slab.thickness_in)} is thicker than log {log.tag} is through. Check the thickness.",
            "thickness_in",
        )
    longest_in = max((row["length_in"] for row in slab.tally), default=0.0) if is_lot else slab.length_in
    if longest_in > log.length_ft * 12 + TRIM_IN:
        raise SlabRefused(
            f"{quantities.length_in(longest_in)} is longer than log {log.tag}, which is "
            f"{quantities.length_ft(log.length_ft)}. Check the length here, or the log's on its page.",
            "tally" if is_lot else "length_in",
        )


def _widths(slab: Slab) -> Iterable[float]:
    return [row["width_in"] for row in slab.tally] if slab.kind == SlabKind.LOT else slab.widths_in


def _too_wide(log: Log, widest_in: float, limit_in: float) -> str:
    typed = quantities.width(widest_in)
    if log.large_end_in is not None:
        return (
            f"{typed} is wider than log {log.tag}: its large end is {quantities.width(log.large_end_in)}, and "
            f"up to {quantities.width(limit_in)} passes for an oval end. Check the width, or measure the "
            "large end again on the log's page."
        )
    return (
        f"{typed} is wider than log {log.tag} can be: its small end is {quantities.width(log.small_end_in)} and "
        f"its large end is not measured, so up to {quantities.width(limit_in)} passes. Check the width, or "
        "type the large end on the log's page."
    )
