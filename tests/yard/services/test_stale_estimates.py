"""Estimates that something has overtaken are made anew: of one stack at once, of the yard some at a time."""

from datetime import timedelta

from django.utils import timezone

from tests.make import make_bay, make_slab, make_stack, make_yard
from yard.models import Cohort, Estimate
from yard.services import stale_estimates
from yard.services.stale_estimates import estimates_refresh_some, estimates_refresh_stack, stale_count

DAY = timedelta(days=1)


def stack_of_a_month(**fields):
    sawn = timezone.localdate() - 31 * DAY
    return make_stack(slabs=[make_slab(sawn_on=sawn)], at=timezone.now() - 30 * DAY, **fields)


def test_one_stacks_wood_is_made_anew_and_no_other(yard):
    stack, other = stack_of_a_month(), stack_of_a_month()
    estimates_refresh_stack(stack=stack, because="a test")
    assert Cohort.objects.get(stack=stack).stale_since is None
    assert Cohort.objects.get(stack=other).stale_since is not None
    made = Estimate.objects.count()
    estimates_refresh_stack(stack=stack, because="again")
    assert Estimate.objects.count() == made, "nothing was stale"


def test_some_at_a_time_the_longest_overdue_first_and_the_rest_is_told(yard, monkeypatch):
    monkeypatch.setattr(stale_estimates, "AT_ONCE", 1)
    first, second = stack_of_a_month(), stack_of_a_month()
    Cohort.objects.filter(stack=second).update(stale_since=timezone.now() - DAY)
    assert stale_count() == 2
    assert estimates_refresh_some(because="a test") == "1 estimate made anew. 1 more wait and are made within the day."
    assert list(Cohort.objects.filter(stale_since__isnull=False)) == [first.cohorts.get()]
    assert estimates_refresh_some(because="a test") == "1 estimate made anew."
    assert estimates_refresh_some(because="a test") == ""


def test_a_yard_without_a_place_says_why_nothing_was_made(db):
    make_yard(lat_deg=None, lon_deg=None)
    stack = stack_of_a_month()
    estimates_refresh_stack(stack=stack, because="a test")
    assert "The yard has no place yet" in estimates_refresh_some(because="a test")
    assert not Estimate.objects.exists()


def test_a_stack_has_its_estimate_once_it_is_built_and_again_once_it_moved(hand_client, yard):
    slab, row, shed = make_slab(tag="B-1", sawn_on=timezone.localdate() - 9 * DAY), make_bay("Row"), make_bay("Shed")
    stack = make_stack(slabs=[slab], bay=row, at=timezone.now() - 8 * DAY)
    assert hand_client.post(f"/stacks/{stack.pk}/move/", {"bay": shed.pk}).status_code == 302
    estimate = Estimate.objects.get(is_current=True)
    assert estimate.because.startswith("moved by")
    assert Cohort.objects.get().stale_since is None
