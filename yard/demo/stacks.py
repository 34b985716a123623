"""Stacks of the story: built, moved, observed, called dry, taken down."""

from dataclasses import dataclass

from yard.demo.clock import Clock, happened
from yard.demo.pictures import face_grain
from yard.demo.story import StackTold
from yard.demo.truth import Truth
from yard.models import Bay, Cohort, Log, Person, Sample, Stack, Yard
from yard.services.cohort_air import AirBook
from yard.services.dry_slabs import slabs_call_dry
from yard.services.moisture_records import meter_reading_record, oven_section_record
from yard.services.photos import photo_add
from yard.services.stacks import stack_build, stack_move, stack_restack, stack_take_down
from yard.services.weighings import sample_add, sample_follow, weighing_record, weighing_void
from yard.wood.meters import meter_corrected_pct
from yard.wood.ranges import OutsideRange

SAMPLE_OVEN_DRY_LB = (6.4, 5.1, 7.2)
SCALE_SD = 0.005  # of the weight
SLIP = 1.09  # two figures of a weight swapped in the writing


@dataclass
class Yardful:
    """What the story's stacks need at hand."""

    yard: Yard
    clock: Clock
    owner: Person
    hand: Person
    logs: dict[str, Log]

    def bay(self, name: str) -> Bay:
        return Bay.objects.get(name=name)


def write_stack(told: StackTold, number: int, here: Yardful) -> Stack:
    """Build a stack and let it go through its moves; its wood is observed afterwards."""
    clock = here.clock
    slabs = [slab for name in told.logs for slab in here.logs[name].slabs.order_by("position")]
    with happened(clock.at(told.built, 10)):
        stack = stack_build(
            tag=told.name, slabs=slabs, bay=here.bay(told.bay), at=clock.at(told.built, 10), by=here.owner,
            covered=told.covered, sticker_in=told.sticker_in, note=told.note, width_ft=4.0,
            length_ft=here.logs[told.logs[0]].length_ft,
        )  # fmt: skip
        for caption in told.photos:
            photo_add(thing=stack, upload=face_grain("oak-white", number), by=here.owner, caption=caption)
    for ago, bay in told.moves:
        if told.dry and told.dry[0] > ago:
            _call_dry(told, stack, here)
        with happened(clock.at(ago, 13)):
            stack_move(stack=stack, bay=here.bay(bay), at=clock.at(ago, 13), by=here.hand)
    if told.options.get("restacked"):
        stack = _fallen_over(told, stack, here)
    if told.down is not None:
        with happened(clock.at(told.down, 15)):
            stack_take_down(stack=stack, at=clock.at(told.down, 15), by=here.owner)
    return stack


def _call_dry(told: StackTold, stack: Stack, here: Yardful) -> None:
    ago, mc_pct = told.dry or (0, 0.0)
    slabs = list(stack.slabs_now.all())
    if slabs and slabs[0].dry_on is None:
        with happened(here.clock.at(ago, 12)):
            slabs_call_dry(slabs=slabs, mc_pct=mc_pct, on=here.clock.day(ago), by=here.owner, note="out of the kiln")


def _fallen_over(told: StackTold, stack: Stack, here: Yardful) -> Stack:
    ago = told.options["restacked"]
    with happened(here.clock.at(ago, 9)):
        return stack_restack(
            tag=f"{told.name}b", slabs=list(stack.slabs_now.order_by("position")), bay=here.bay("North row"),
            at=here.clock.at(ago, 9), by=here.hand, note="Fell over in the spring mud; built again on blocks.",
            covered=True, width_ft=4.0, length_ft=stack.length_ft,
        )  # fmt: skip


def observe(told: StackTold, number: int, stack: Stack, here: Yardful, book: AirBook) -> None:
    """Weigh, cut and meter a stack's wood as the story says, true to the hidden wood."""
    if not (told.weighed_every or told.oven_at or told.meter_at):
        return
    first = Stack.objects.get(tag=told.name).cohorts.order_by("pk").first()
    last = stack.cohorts.order_by("pk").first()
    until = told.down or 0
    truth = Truth(
        cohort=last, book=book, end=here.clock.day(until), ln_d=told.ln_d, seed=number,
        start_mc_pct=_start_mc_pct(first, number),
    )  # fmt: skip
    for ago in told.oven_at:
        day = here.clock.day(ago)
        found = max(5.0, truth.scattered(truth.mean_pct(day), 1.5))
        oven_section_record(
            cohort=first, wet_lb=round(0.5 * (1 + found / 100), 3), oven_dry_lb=0.5, by=here.owner,
            cut_at=here.clock.at(ago, 8), made_at=here.clock.at(ago - 1, 8) if ago else None,
        )  # fmt: skip
    _weigh(told, truth, first, here)
    for ago in told.meter_at:
        _meter(told, truth, _cohort_then(stack, first, ago, told), here, book, ago)


def _start_mc_pct(cohort: Cohort, number: int) -> float:
    from yard.wood.drying_parameters import drying_parameters

    return drying_parameters(cohort.species_key).start_mc_pct + (number * 7 % 11 - 5)


def _cohort_then(stack: Stack, first: Cohort, ago: int, told: StackTold) -> Cohort:
    restacked = told.options.get("restacked")
    return stack.cohorts.first() if restacked and ago < restacked else first


def _weigh(told: StackTold, truth: Truth, cohort: Cohort, here: Yardful) -> None:
    if not told.weighed_every:
        return
    until = told.dry[0] if told.dry else told.down or 0
    samples = [
        sample_add(cohort=cohort, name=f"{told.name} {'abc'[n]}", by=here.owner, place_note=f"course {2 + 3 * n}")
        for n in range(told.samples)
    ]
    for ago in range(told.built - 1, until, -told.weighed_every):
        for n, sample in enumerate(samples):
            _weigh_one(told, truth, sample, n, ago, here)
    for sample in samples:
        sample_follow(sample=Sample.objects.get(pk=sample.pk))


def _weigh_one(told: StackTold, truth: Truth, sample: Sample, n: int, ago: int, here: Yardful) -> None:
    true_lb = SAMPLE_OVEN_DRY_LB[n] * (1 + truth.mean_pct(here.clock.day(ago)) / 100)
    weight = truth.scattered(true_lb, SCALE_SD * true_lb)
    if told.slip_at is not None and n == 0 and abs(ago - told.slip_at) < told.weighed_every / 2:
        weight *= SLIP
    weight = round(weight, 2)
    record, _new = weighing_record(
        sample=sample, weight_lb=weight, by=here.hand if n else here.owner, made_at=here.clock.at(ago, 16, 5 * n),
        typed_value=f"{weight:g}", typed_unit="lb",
    )  # fmt: skip
    if told.name == "ST-6" and n == 1 and 100 < ago < 130:
        weighing_void(weighing=record, reason="The scale was not level", by=here.owner)


def _meter(told: StackTold, truth: Truth, cohort: Cohort, here: Yardful, book: AirBook, ago: int) -> None:
    day = here.clock.day(ago)
    temp_f = float(book.outdoors.temp_f[(day - book.outdoors.first).days])
    wood_temp_f = round(min(max(temp_f, 0.0), 90.0))
    true_pct = truth.scattered(truth.near_core_pct(day), 0.8)
    try:
        reading = round(2 * true_pct - meter_corrected_pct(true_pct, wood_temp_f), 1)
    except OutsideRange:
        reading = round(true_pct, 1)
    meter_reading_record(
        cohort=cohort, reading_pct=min(reading, 60.0), wood_temp_f=wood_temp_f, by=here.owner,
        depth_in=round(cohort.thickness_in * 0.3, 2), meter_species="douglas-fir", made_at=here.clock.at(ago, 15),
        typed_value=f"{reading:g}", typed_unit="%",
    )  # fmt: skip
