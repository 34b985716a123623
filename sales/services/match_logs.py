"""What is still in the log: logs of ours that are not sawn, with what the log scale says of them, honestly labelled."""

from collections.abc import Iterator
from dataclasses import dataclass

from sales.services.dry_width import width_left
from sales.services.footage import DRY_MC_PCT
from yard import quantities as shown
from yard.models import Log
from yard.services.log_scale import net_bf

MOST = 8


@dataclass(frozen=True, slots=True)
class LogOffer:
    """A log with its board feet by the ticket's rule, after defects: an expectation, not a tally."""

    log: Log
    bf: float | None
    words: str


def logs_for(species_key: str, min_width_in: float | None, length_in: float | None) -> Iterator[LogOffer]:
    """Unsawn logs of ours that could hold it, the longest-waiting first: one query.

    A slab is no wider than the log's small end inside bark; the log must be as long as the piece. Nothing is said of
    a date: wood that is not sawn has no drying to reckon from.
    """
    logs = Log.objects.waiting().ours()
    if species_key:
        logs = logs.filter(species_key=species_key)
    if min_width_in:  # dry, as it is asked for: green it is wider
        logs = logs.filter(small_end_in__gte=min_width_in / width_left(species_key, DRY_MC_PCT))
    if length_in:
        logs = logs.filter(length_ft__gte=length_in / 12.0)
    for log in logs[:MOST]:
        feet = net_bf(log.gross_scale_bf, log.defect_pct)
        much = f"about {shown.bf(feet)} by {log.get_rule_display()} log scale" if feet else "not scaled"
        end = f"{shown.width(log.small_end_in)} at the small end"
        words = f"not sawn: {much}, {end}; what it yields is seen when it is sawn"
        yield LogOffer(log, feet, words)
