"""Weighings: what is asked about, what is refused, what becomes out of date."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from tests.make import make_bay, make_slab, make_stack
from yard.models import Cohort, Estimate, StackWeighing, Weighing
from yard.services.moisture_records import oven_section_record
from yard.services.samples import sample_add, sample_of_slab
from yard.services.weighing_outlook import stack_weighing_outlook, weighing_outlook
from yard.services.weighings import (
    ImplausibleWeightError,
    stack_weighing_check,
    stack_weighing_record,
    stack_weighing_void,
    weighing_check,
    weighing_record,
    weighing_void,
)
from yard.wood.density import board_weight_lb

BUILT = datetime(2025, 3, 10, 15, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def stack(yard):
    return make_stack()


@pytest.fixture
def sample(stack):
    return sample_of_slab(slab=stack.slabs_now.first())


def give_estimate(cohort, mean=40.0, first_mc=80.0, days=100):
    """An estimate that fell from `first_mc` to `mean` over the last `days`."""
    today = timezone.localdate()
    path = [first_mc + (mean - first_mc) * n / days for n in range(days + 1)]
    first = today - days * DAY
    estimate = Estimate.objects.create(
        cohort=cohort, as_of=today, computed_at=timezone.now(), mean_pct=mean, mean_low_pct=mean - 3,
        mean_high_pct=mean + 3, shell_pct=mean - 8, core_pct=mean + 8, core_low_pct=mean + 4, core_high_pct=mean + 12,
        path={"first": first.isoformat(), "now": days, "low": path, "mid": path, "high": path, "emc": [], "frozen": []},
    )  # fmt: skip
    cohort.estimate = estimate
    cohort.save()
    return first


def test_before_the_first_weighing_a_slab_is_expected_by_its_size_and_its_wood(sample):
    give_estimate(sample.cohort, mean=40.0)
    outlook = weighing_outlook(sample=type(sample).objects.get(pk=sample.pk))
    slab = sample.slab
    # By the density formula (WH-GTR282 Eq. 4-14) on the slab's mean width.
    by_formula = board_weight_lb("oak-northern-red", slab.thickness_in, slab.area_in2 / slab.length_in, 8.0, 40.0)
    assert outlook.expected_lb == pytest.approx(by_formula)
    green = by_formula / 1.4 * 1.8
    assert outlook.low_lb < by_formula < green < outlook.high_lb < outlook.ceiling_lb
    assert outlook.last_lb is None


def test_a_later_weighing_is_expected_to_have_lost_the_water_that_the_estimate_says(sample):
    first = give_estimate(sample.cohort, mean=40.0, first_mc=80.0)
    weighing_record(sample=sample, weight_lb=180.0, by=None, made_at=datetime.combine(first, BUILT.timetz()))
    outlook = weighing_outlook(sample=type(sample).objects.get(pk=sample.pk))
    assert outlook.expected_lb == pytest.approx(180 * 140 / 180)
    assert outlook.low_lb < 140 < outlook.high_lb <= 180 * 1.02
    assert outlook.last_lb == 180.0


def test_a_weight_above_the_green_weight_is_asked_about_and_taken_when_confirmed(sample):
    outlook = weighing_outlook(sample=sample)
    heavy = outlook.high_lb * 1.01
    with pytest.raises(ImplausibleWeightError, match=r"heavier than .* when green") as refused:
        weighing_check(sample=sample, weight_lb=heavy)
    assert refused.value.may_confirm
    weighing_check(sample=sample, weight_lb=heavy, confirmed=True)


def test_a_weight_that_wood_cannot_have_is_refused_even_when_confirmed(sample):
    outlook = weighing_outlook(sample=sample)
    for weight in (outlook.ceiling_lb * 1.01, outlook.floor_lb * 0.99, 0.0, -5.0):
        with pytest.raises(ImplausibleWeightError) as refused:
            weighing_check(sample=sample, weight_lb=weight, confirmed=True)
        assert not refused.value.may_confirm


def test_a_usual_weight_passes(sample):
    weighing_check(sample=sample, weight_lb=weighing_outlook(sample=sample).high_lb * 0.8)


def test_heavier_than_last_time_is_asked_about_beyond_what_rain_does(sample):
    give_estimate(sample.cohort)
    weighing_record(sample=sample, weight_lb=120.0, by=None, made_at=timezone.now() - DAY)
    sample = type(sample).objects.get(pk=sample.pk)
    weighing_check(sample=sample, weight_lb=122.3)
    with pytest.raises(ImplausibleWeightError, match="heavier than it should be"):
        weighing_check(sample=sample, weight_lb=128.0)


def test_much_lighter_than_the_estimate_allows_is_asked_about(sample):
    give_estimate(sample.cohort)
    weighing_record(sample=sample, weight_lb=120.0, by=None, made_at=timezone.now() - 2 * DAY)
    sample = type(sample).objects.get(pk=sample.pk)
    with pytest.raises(ImplausibleWeightError, match="lighter than its last weight and the estimate allow"):
        weighing_check(sample=sample, weight_lb=100.0)


def test_a_weighing_written_down_late_is_judged_by_those_before_it(sample):
    weighing_record(sample=sample, weight_lb=90.0, by=None, made_at=BUILT + 90 * DAY)
    with pytest.raises(ImplausibleWeightError, match="heavier than it should be"):
        weighing_check(sample=sample, weight_lb=120.0, made_at=BUILT + 100 * DAY)
    weighing_check(sample=sample, weight_lb=120.0, made_at=BUILT + 5 * DAY)


def test_a_cut_board_is_bounded_by_the_oven_dry_weight_of_its_section(stack):
    sample = sample_add(cohort=stack.cohorts.get(), name="Cut board")
    weighing_check(sample=sample, weight_lb=999.0)
    oven_section_record(
        cohort=sample.cohort, sample=sample, wet_lb=1.924, oven_dry_lb=1.0, sample_weight_lb=4.46, by=None,
        cut_at=BUILT + DAY, typed_value="4.46", typed_unit="lb",
    )  # fmt: skip
    weighing_check(sample=sample, weight_lb=4.14)
    with pytest.raises(ImplausibleWeightError, match="without a drop of water") as refused:
        weighing_check(sample=sample, weight_lb=2.2, confirmed=True)
    assert not refused.value.may_confirm


def test_a_voided_weighing_is_no_longer_the_last_one(sample):
    weighing_record(sample=sample, weight_lb=150.0, by=None, made_at=BUILT + DAY)
    wrong, _ = weighing_record(sample=sample, weight_lb=15.0, by=None, made_at=BUILT + 2 * DAY)
    weighing_void(weighing=wrong, reason="misread", by=None)
    assert weighing_outlook(sample=sample).last_lb == 150.0


def test_a_weighing_makes_its_cohort_and_those_that_came_of_it_out_of_date(sample):
    Cohort.objects.update(stale_since=None)
    weighing_record(sample=sample, weight_lb=150.0, by=None)
    assert Cohort.objects.get().stale_since is not None


def test_a_whole_stack_is_judged_by_its_slabs_without_what_carries_them(stack):
    outlook = stack_weighing_outlook(stack=stack)
    usual = (outlook.low_lb + outlook.high_lb) / 2
    stack_weighing_check(stack=stack, weight_lb=usual + 200, tare_lb=200)
    with pytest.raises(ImplausibleWeightError, match="as heavy as the whole"):
        stack_weighing_check(stack=stack, weight_lb=100, tare_lb=100)
    with pytest.raises(ImplausibleWeightError) as refused:
        stack_weighing_check(stack=stack, weight_lb=outlook.ceiling_lb * 1.1, tare_lb=0, confirmed=True)
    assert not refused.value.may_confirm


def test_a_stack_weighing_is_kept_and_voided(stack):
    weighing, new = stack_weighing_record(stack=stack, weight_lb=900.0, tare_lb=60.0, by=None)
    assert new
    assert stack_weighing_outlook(stack=stack).last_lb == 840.0
    Cohort.objects.update(stale_since=None)
    stack_weighing_void(weighing=weighing, reason="fork on the scale", by=None)
    assert Cohort.objects.get().stale_since is not None
    assert StackWeighing.objects.get().voided
    assert stack_weighing_outlook(stack=stack).last_lb is None


def test_an_empty_stack_and_a_nameless_board_have_no_outlook(yard):
    stack = make_stack(slabs=[make_slab(sawn_on=date(2025, 3, 3))], bay=make_bay())
    board = sample_add(cohort=stack.cohorts.get(), name="Loose board")
    outlook = weighing_outlook(sample=board)
    assert (outlook.low_lb, outlook.high_lb, outlook.ceiling_lb) == (None, None, None)
    assert not Weighing.objects.exists()
