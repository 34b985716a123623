"""The stored estimate: what it is made from, that it moves with what arrives, and that a page can show it."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from tests.make import make_bay, make_slab, make_stack, make_yard
from yard.models import Cohort, Estimate
from yard.services.estimates import estimates_refresh, estimates_refresh_old, estimates_refresh_stale
from yard.services.moisture_records import meter_reading_record, oven_section_record
from yard.services.stacks import stack_move, stack_restack, stack_take_down
from yard.services.weather import NoPlaceError
from yard.services.weighings import sample_of_slab, weighing_record, weighing_void

BUILT = datetime(2026, 3, 10, 15, tzinfo=UTC)
SAWN = date(2026, 3, 9)
CUT = BUILT + timedelta(hours=2)


@pytest.fixture
def stack(db):
    make_yard()
    return make_stack(slabs=[make_slab(sawn_on=SAWN) for _ in range(3)], at=BUILT)


def the_cohort(stack) -> Cohort:
    return stack.cohorts.get()


def refresh(stack) -> Estimate:
    return estimates_refresh(cohort_ids=[the_cohort(stack).pk], because="a test")[0]


def test_a_stack_without_observations_gets_an_estimate_from_published_times_and_the_usual_weather(stack):
    estimate = refresh(stack)
    assert estimate.as_of == timezone.localdate()
    assert estimate.mean_low_pct < estimate.mean_pct < estimate.mean_high_pct
    assert estimate.shell_pct < estimate.mean_pct < estimate.core_pct
    assert the_cohort(stack).estimate == estimate
    assert the_cohort(stack).stale_since is None
    assert any("built-in climate" in reason for reason in estimate.reasons)


def test_the_path_begins_the_day_it_was_sawn_and_goes_on_past_today(stack):
    estimate = refresh(stack)
    assert estimate.path["first"] == SAWN.isoformat()
    assert estimate.path["now"] == (timezone.localdate() - SAWN).days
    assert len(estimate.path["mid"]) > estimate.path["now"] + 1
    assert estimate.mean_on(timezone.localdate()) == pytest.approx(estimate.mean_pct, abs=0.7)
    assert estimate.mean_on(SAWN - timedelta(days=1)) is None


def test_an_oven_section_pulls_the_estimate_to_what_it_found(stack):
    before = refresh(stack)
    cohort = the_cohort(stack)
    oven_section_record(cohort=cohort, wet_lb=1.4, oven_dry_lb=1.0, by=None, cut_at=timezone.now())
    assert the_cohort(stack).stale_since is not None
    after = refresh(stack)
    assert abs(after.mean_pct - 40) < abs(before.mean_pct - 40)
    assert after.mean_high_pct - after.mean_low_pct < before.mean_high_pct - before.mean_low_pct
    assert after.inputs["observations"]


def test_only_the_newest_estimate_is_current_and_keeps_its_path(stack):
    first, second = refresh(stack), refresh(stack)
    first.refresh_from_db()
    assert not first.is_current
    assert first.path == {}
    assert second.is_current
    assert second.path["mid"]


def test_a_superseded_estimate_keeps_the_date_for_the_woods_own_target_alone(stack):
    first = refresh(stack)
    assert first.targets.count() > 1
    second = refresh(stack)
    assert [one.is_own for one in first.targets.all()] == [True]
    assert second.targets.filter(is_own=False).exists()


def test_two_weighings_of_a_sample_are_one_ratio_and_a_voided_one_is_none(stack):
    cohort = the_cohort(stack)
    sample = sample_of_slab(slab=stack.slabs_now.first())
    weighing_record(sample=sample, weight_lb=100.0, by=None, made_at=CUT)
    second, _new = weighing_record(sample=sample, weight_lb=80.0, by=None, made_at=CUT + timedelta(days=60))
    assert len(refresh(stack).inputs["observations"]) == 1
    weighing_void(weighing=second, reason="wrong slab", by=None)
    assert cohort.estimate_id is None or refresh(stack).inputs["observations"] == []


def test_an_unusable_meter_reading_is_left_aside_with_its_reason(stack):
    meter_reading_record(cohort=the_cohort(stack), reading_pct=60.0, by=None)
    left = refresh(stack).inputs["left_aside"]
    assert len(left) == 1
    assert "28" in left[0]


def test_a_move_into_a_heated_bay_dries_faster_than_staying_out(stack):
    out = refresh(stack)
    warm = make_bay(kind="shed", air="steady", steady_temp_f=85.0, steady_rh_pct=35.0)
    stack_move(stack=stack, bay=warm, at=BUILT + timedelta(days=30), by=None)
    assert the_cohort(stack).stale_since is not None
    inside = refresh(stack)
    assert inside.mean_pct < out.mean_pct
    assert inside.path["bays"][60] == warm.name


def test_observations_follow_the_wood_into_a_new_stack(stack):
    oven_section_record(cohort=the_cohort(stack), wet_lb=1.7, oven_dry_lb=1.0, by=None, cut_at=CUT)
    slabs = list(stack.slabs_now.all())
    other = stack_restack(tag="AGAIN", slabs=slabs, bay=make_bay(), at=BUILT + timedelta(days=40), by=None)
    estimate = estimates_refresh(cohort_ids=[other.cohorts.get().pk], because="restacked")[0]
    assert len(estimate.inputs["observations"]) == 1
    assert estimate.path["first"] == SAWN.isoformat()


def test_a_finished_stack_teaches_the_next_of_its_kind(stack):
    cohort = the_cohort(stack)
    oven_section_record(cohort=cohort, wet_lb=1.8, oven_dry_lb=1.0, by=None, cut_at=CUT)
    oven_section_record(cohort=cohort, wet_lb=1.25, oven_dry_lb=1.0, by=None, cut_at=CUT + timedelta(days=45))
    stack_take_down(stack=stack, at=BUILT + timedelta(days=90), by=None)
    estimates_refresh_stale()
    following = make_stack(slabs=[make_slab(sawn_on=SAWN)], at=BUILT)
    basis = refresh(following).inputs["prior"]["basis"]
    assert basis == "1 finished stack of this yard"


def test_stale_cohorts_are_found_and_an_estimate_of_today_is_left_alone(stack):
    assert estimates_refresh_stale() == 1
    assert estimates_refresh_stale() == 0
    assert estimates_refresh_old() == 0
    Estimate.objects.update(as_of=timezone.localdate() - timedelta(days=1))
    assert estimates_refresh_old() == 1


def test_a_yard_without_a_place_says_that_it_needs_one(db):
    make_yard(lat_deg=None, lon_deg=None)
    stack = make_stack(slabs=1)
    with pytest.raises(NoPlaceError, match="choose it"):
        refresh(stack)


def test_the_same_input_gives_the_same_estimate(stack):
    assert refresh(stack).mean_pct == refresh(stack).mean_pct
