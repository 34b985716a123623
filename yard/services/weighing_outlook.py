"""What a sample or a stack may weigh today, before anybody weighs it: last, expected, plausible, possible."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch
from django.utils import timezone

from yard.models import Cohort, OvenSection, Sample, Slab, Stack, StackWeighing, Weighing
from yard.quantities import weight
from yard.services.drying_path import drying_path
from yard.services.sample_mc import sample_dry_weight
from yard.wood.board_feet import IN3_PER_BF
from yard.wood.density import mc_max_pct, weight_per_green_bf_lb
from yard.wood.species import species

# All of these are the program's own limits, no source.
RAIN = 1.02  # outdoors wood takes up rain: so much over its heaviest or its last weight is nothing to ask about
BEYOND_PCT = 5.0  # % MC beyond the estimate's 80% interval that are still plausible
LIGHTER = 0.98  # of an oven-dry weight: scales differ
SIZES = 1.10  # a live-edge piece holds up to a tenth more than its widths at a few stations say
# A board's specific gravity strays about a tenth from its species' mean (common knowledge); twice that is rare.
DENSER, LESS_DENSE = 1.2, 0.8


class ImplausibleWeightError(ValueError):
    """A weight that the wood cannot have, or hardly; `may_confirm` when a person may insist on it."""

    field = "weight"

    def __init__(self, message: str, may_confirm: bool):
        super().__init__(message)
        self.may_confirm = may_confirm


@dataclass(frozen=True, slots=True)
class WeighingOutlook:
    """Last and expected weight, the range that needs no question, and what no such wood can weigh [lb].

    `basis` says in words what the range comes from; empty where nothing is known.
    """

    last_lb: float | None = None
    last_at: datetime | None = None
    expected_lb: float | None = None
    low_lb: float | None = None
    high_lb: float | None = None
    floor_lb: float | None = None
    ceiling_lb: float | None = None
    basis: str = ""


def weighing_outlook(
    *,
    sample: Sample,
    at: datetime | None = None,
    weighings: Sequence[Weighing] | None = None,
    sections: Sequence[OvenSection] | None = None,
) -> WeighingOutlook:
    """What this sample should weigh, from its own weighings before `at` (now), its section and the estimate.

    The sample may be one that is not saved yet, as of a slab that was never weighed. `weighings` and `sections`
    spare the queries: its standing ones in the order of time.
    """
    known = sample.pk is not None
    if weighings is None:
        weighings = list(sample.weighings.standing()) if known else []
    weighings = [one for one in weighings if at is None or one.made_at <= at]
    dry = sample_dry_weight(sample, sections) if known else None
    floor, ceiling = _bounds_of_slab(sample.slab)
    if dry is not None:
        most_pct = mc_max_pct(species(sample.cohort.species_key).basic_specific_gravity)
        floor, ceiling = dry.oven_dry_lb * LIGHTER, dry.oven_dry_lb * (1 + most_pct * DENSER / 100)
    if not weighings:
        return _first_outlook(sample, dry.oven_dry_lb if dry else None, floor, ceiling)
    last, heaviest = weighings[-1], max(one.weight_lb for one in weighings)
    estimate = sample.cohort.estimate
    then = _mean_then(estimate, last.made_at)
    if estimate is None or then is None:
        words = "its own weights; there is no estimate to go by"
        low = floor if floor is not None else heaviest / 5
        return WeighingOutlook(last.weight_lb, last.made_at, None, low, heaviest * RAIN, floor, ceiling, words)
    dry_lb = last.weight_lb / (100 + then)
    expected = dry_lb * (100 + estimate.mean_pct)
    low = dry_lb * (100 + max(0.0, min(then, estimate.mean_low_pct) - BEYOND_PCT))
    high = max(last.weight_lb * RAIN, dry_lb * (100 + estimate.mean_high_pct + BEYOND_PCT))
    words = "its last weight and the estimate"
    return WeighingOutlook(
        last.weight_lb, last.made_at, expected, low, min(heaviest * RAIN, high), floor, ceiling, words
    )  # fmt: skip


def stack_weighing_outlook(
    *, stack: Stack, slabs: Sequence[Slab] | None = None, weighings: Sequence[StackWeighing] | None = None
) -> WeighingOutlook:
    """What a whole stack should weigh without its stickers, by its slabs' sizes and the estimates.

    `slabs` (with cohort and estimate) and `weighings` (standing, in the order of time) spare the queries.
    """
    if slabs is None:
        light = Cohort.objects.select_related("estimate").defer("estimate__path", "estimate__posterior")
        slabs = list(stack.slabs_now.prefetch_related(Prefetch("cohort", light)))
    slabs = [slab for slab in slabs if slab.area_in2 > 0]
    if weighings is None:
        weighings = list(stack.weighings.standing().order_by("made_at", "id"))
    last = weighings[-1] if weighings else None
    net = (last.weight_lb - last.tare_lb, last.made_at) if last else (None, None)
    if not slabs:
        return WeighingOutlook(*net)
    dry = sum(_slab_weight_lb(slab, 0.0) for slab in slabs)
    full = sum(_slab_weight_lb(slab, _most_pct(slab)) for slab in slabs)
    green = sum(_slab_weight_lb(slab, _green_pct(slab.cohort, slab.species_key)) for slab in slabs)
    expected = None
    if all(slab.cohort and slab.cohort.estimate for slab in slabs):
        expected = sum(_slab_weight_lb(slab, slab.cohort.estimate.mean_pct) for slab in slabs)
    return WeighingOutlook(
        *net, expected, dry * LESS_DENSE, green * DENSER, dry * LESS_DENSE / 2, full * SIZES * DENSER,
        "the sizes of its slabs and the usual weight of the wood",
    )  # fmt: skip


def weight_check(*, outlook: WeighingOutlook, weight_lb: float, what: str, confirmed: bool = False) -> None:
    """Refuse a weight that the wood cannot have; ask again about one that it hardly has."""
    if weight_lb <= 0:
        raise ImplausibleWeightError("A weight is more than nothing: type what the scale shows.", False)
    if outlook.ceiling_lb is not None and weight_lb > outlook.ceiling_lb:
        raise ImplausibleWeightError(
            f"{what} can weigh at most {weight(outlook.ceiling_lb)}, soaked through. "
            "Check the decimal point, the unit, and that it is this piece.",
            False,
        )
    if outlook.floor_lb is not None and weight_lb < outlook.floor_lb:
        raise ImplausibleWeightError(
            f"{what} weighs at least {weight(outlook.floor_lb)}, without a drop of water in it. "
            "Check the decimal point, the unit, and that it is this piece.",
            False,
        )
    if confirmed:
        return
    if outlook.high_lb is not None and weight_lb > outlook.high_lb:
        raise ImplausibleWeightError(_too_heavy(outlook, what), True)
    if outlook.low_lb is not None and weight_lb < outlook.low_lb:
        raise ImplausibleWeightError(
            f"That is lighter than {outlook.basis} allow (at the least {weight(outlook.low_lb)}). "
            "Look at the scale again. Right all the same? Then confirm it.",
            True,
        )


def _too_heavy(outlook: WeighingOutlook, what: str) -> str:
    if outlook.last_lb is None:
        words = f"That is heavier than {what} can well have been when green ({weight(outlook.high_lb)})."
    else:
        words = f"That is heavier than it should be by {outlook.basis} (at most {weight(outlook.high_lb)})."
    return f"{words} Look at the scale again. Right all the same, after rain say? Then confirm it."


def _first_outlook(
    sample: Sample, dry_lb: float | None, floor: float | None, ceiling: float | None
) -> WeighingOutlook:  # fmt: skip
    """Nothing was weighed yet: by the oven-dry weight of a section, or by the sizes of the slab."""
    cohort, estimate, slab = sample.cohort, sample.cohort.estimate, sample.slab
    now, least = (estimate.mean_pct, estimate.mean_low_pct) if estimate else (None, 0.0)
    if dry_lb is not None:
        green = max(_green_pct(cohort, cohort.species_key), now or 0.0)
        low, high = dry_lb * (1 + max(0.0, least - BEYOND_PCT) / 100), dry_lb * (1 + green * DENSER / 100)
        expected = None if now is None else dry_lb * (1 + now / 100)
        return WeighingOutlook(None, None, expected, low, high, floor, ceiling, "its oven-dried section")
    if slab is None or slab.area_in2 <= 0:
        return WeighingOutlook()
    low = _slab_weight_lb(slab, max(0.0, least - BEYOND_PCT)) * LESS_DENSE
    high = _slab_weight_lb(slab, _green_pct(cohort, slab.species_key)) * DENSER
    expected = None if now is None else _slab_weight_lb(slab, now)
    words = "its sizes and the usual weight of the wood"
    return WeighingOutlook(None, None, expected, low, high, floor, ceiling, words)


def _mean_then(estimate, made_at: datetime) -> float | None:
    path = drying_path(estimate)
    return None if path is None else path.mid_on(timezone.localdate(made_at))


def _green_pct(cohort: Cohort | None, species_key: str) -> float:
    known = cohort.start_mc_pct if cohort else None
    return species(species_key).green_moisture.mc_pct if known is None else known


def _most_pct(slab: Slab) -> float:
    return mc_max_pct(species(slab.species_key).basic_specific_gravity)


def _bounds_of_slab(slab: Slab | None) -> tuple[float | None, float | None]:
    """What a slab weighs at the very least and soaked through, by its sizes."""
    if slab is None or slab.area_in2 <= 0:
        return None, None
    return _slab_weight_lb(slab, 0.0) * LESS_DENSE / 2, _slab_weight_lb(slab, _most_pct(slab)) * SIZES


def _slab_weight_lb(slab: Slab, mc_pct: float) -> float:
    volume_bf = slab.area_in2 * slab.thickness_in / IN3_PER_BF
    return volume_bf * weight_per_green_bf_lb(slab.species_key, mc_pct)

