"""What a log has given so far: footage, recovery against its scale, and roughly what is left on the mill."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from yard.models import Log, LogRule, Slab, SlabState
from yard.services.log_scale import large_end_taken_in, net_bf
from yard.wood.log_left import depth_left_in, mid_diameter_in, taken_ft3
from yard.wood.ranges import OutsideRange
from yard.wood.tallies import over_pct
from yard.wood.working import Working, work_out

USUAL_KERF_IN = 0.125  # in, a band's cut with its set; common practice, no source. A log may have its own.


@dataclass(frozen=True, slots=True)
class SawYield:
    """The yield of one log. `recovery_pct` is sawn footage in percent of the log's scale by the ticket's rule."""

    slabs: int
    pieces: int
    sawn_bf: float
    rule: str
    scale_bf: float | None
    recovery_pct: float | None
    over_pct: float | None
    over_working: Working | None
    left: "LogLeft | None"


@dataclass(frozen=True, slots=True)
class LogLeft:
    """Rough: the log's volume less what was sawn with its kerf, and how thick that would be sawn through."""

    log_ft3: float
    sawn_ft3: float
    taken_ft3: float
    left_ft3: float
    left_pct: float
    depth_in: float
    kerf_in: float
    kerf_is_usual: bool

    @property
    def more_than_log(self) -> bool:
        """The slabs hold more wood than the log: a size is wrong, or the log is larger than measured."""
        return self.taken_ft3 > self.log_ft3

    @property
    def wood_pct(self) -> float:
        """The share of the log's wood that is in its slabs."""
        return 100 * self.sawn_ft3 / self.log_ft3


def slabs_of_log(log: Log) -> QuerySet[Slab]:
    """What was sawn from a log in sawing order; pieces that a slab was split into later are not counted again."""
    return log.slabs.filter(split_from__isnull=True).exclude(state=SlabState.VOID).order_by("position", "id")


def saw_yield(log: Log, slabs: Sequence[Slab]) -> SawYield:
    """Work out the yield of a log from its slabs."""
    sawn_bf = sum(slab.green_bf for slab in slabs)
    scale_bf = net_bf(log.gross_scale_bf, log.defect_pct)
    working = _over(sawn_bf, scale_bf) if slabs and scale_bf else None
    return SawYield(
        slabs=len(slabs),
        pieces=sum(slab.count for slab in slabs),
        sawn_bf=sawn_bf,
        rule=LogRule(log.rule).label,
        scale_bf=scale_bf,
        recovery_pct=100 * sawn_bf / scale_bf if working and scale_bf else None,
        over_pct=working.result if working else None,
        over_working=working,
        left=_left(log, slabs),
    )


def _over(sawn_bf: float, scale_bf: float) -> Working:
    return work_out(
        "Over or under the scale",
        "(sawn / scale − 1) × 100",
        over_pct,
        {"footage_bf": (sawn_bf, "sawn so far", "bf"), "reference_bf": (scale_bf, "the log's scale", "bf")},
        "%",
        "WENGERT-QA",
        notes=("Footage of green slabs at nominal thickness, against the scale by the rule on the ticket.",),
    )


def _left(log: Log, slabs: Sequence[Slab]) -> LogLeft | None:
    if not log.cubic_ft3:
        return None
    kerf_in = log.kerf_in if log.kerf_in is not None else USUAL_KERF_IN
    taken = sum(taken_ft3(slab.area_in2, slab.thickness_in, kerf_in) for slab in slabs)
    sawn = sum(taken_ft3(slab.area_in2, slab.thickness_in, 0.0) for slab in slabs)
    left = max(log.cubic_ft3 - taken, 0.0)
    large_in = large_end_taken_in(log.small_end_in, log.large_end_in, log.length_ft)
    try:
        depth = depth_left_in(mid_diameter_in(log.small_end_in, large_in), left / log.cubic_ft3)
    except OutsideRange:
        return None
    return LogLeft(
        log_ft3=log.cubic_ft3,
        sawn_ft3=sawn,
        taken_ft3=taken,
        left_ft3=left,
        left_pct=100 * left / log.cubic_ft3,
        depth_in=depth,
        kerf_in=kerf_in,
        kerf_is_usual=log.kerf_in is None,
    )
