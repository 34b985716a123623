"""What runs ask for today, and where a stack's page says which run it is in."""

from datetime import timedelta

import pytest
from django.utils import timezone

from kilns.services.runs_now import runs_asking
from tests.kilns.make import days_ago, go_on, make_kiln, make_run, make_running
from tests.make import make_stack
from yard.services.moisture_records import oven_section_record
from yard.services.weighings import sample_add, weighing_record


def asked(yard):
    return runs_asking(yard=yard, today=timezone.localdate())


@pytest.fixture
def running(yard):
    stack = make_stack("ST-1")
    run = make_running(kiln=make_kiln("Barn kiln"), stacks=[stack], name="Oak", at=days_ago(10))
    sample = sample_add(cohort=stack.cohorts.get(), name="A")
    oven_section_record(
        cohort=sample.cohort, sample=sample, sample_weight_lb=12.5, wet_lb=1.25, oven_dry_lb=1.0, by=None,
        cut_at=days_ago(10), typed_value="12.5", typed_unit="lb",
    )  # fmt: skip
    return go_on(run, "drying", 2, days_ago(9))


def test_a_sample_not_weighed_for_three_days_is_asked_for(yard, running):
    (ask,) = asked(yard)
    assert (ask.words, ask.number, ask.late) == ("Oak: weigh A", "1 sample", False)


def test_many_planned_runs_do_not_crowd_out_the_one_that_goes_on(yard, running):
    for n in range(7):
        make_run(kiln=running.kiln, planned_start_on=days_ago(20 + n).date())
    assert "Oak: weigh A" in [ask.words for ask in asked(yard)]


def test_a_step_that_is_due_and_wood_that_dries_too_fast_are_told_first(yard, running):
    sample = running.run_stacks.get().stack.cohorts.get().samples.get()
    # from 25% to 19%: under the 20% of step 3, and six points in nine and a half days are too slow to alarm
    weighing_record(sample=sample, weight_lb=11.9, by=None, made_at=days_ago(0.5))
    (ask,) = asked(yard)
    assert ask.words.startswith("Oak: Step 3: dry bulb 118 °F")
    assert (ask.number, ask.late) == ("19.0%", True)
    weighing_record(sample=sample, weight_lb=11.5, by=None, made_at=timezone.now())
    assert [one.words for one in asked(yard)][-1] == "Oak: A dries too fast"  # four points in half a day


def test_a_planned_start_is_told_three_days_ahead_and_when_it_is_late(yard):
    today = timezone.localdate()
    make_run(name="Far", planned_start_on=today + timedelta(days=4))
    make_run(name="Near", planned_start_on=today + timedelta(days=2), kiln=make_kiln("Barn kiln"))
    make_run(name="Late", planned_start_on=today - timedelta(days=5), kiln=make_kiln("Old kiln"))
    told = {one.words: (one.number, one.late) for one in asked(yard)}
    assert told == {"Load Barn kiln: Near": ("in 2 days", False), "Load Old kiln: Late": ("5 days late", True)}


def test_a_closed_run_asks_for_nothing(yard, running):
    running.state = "given_up"
    running.save()
    assert asked(yard) == []


def test_the_stack_page_says_which_run_it_is_in_and_today_what_runs_ask(owner_client, yard, running):
    stack = running.run_stacks.get().stack
    assert "Oak" in owner_client.get(f"/stacks/{stack.pk}/").content.decode()
    assert "Oak: weigh A" in owner_client.get("/").content.decode()
    kiln = owner_client.get(f"/kilns/{running.kiln_id}/").content.decode()
    assert f"/kilns/runs/{running.pk}/" in kiln
