"""What keeps a kiln busy: running and planned runs in order, with days, for whoever promises a date."""

from datetime import UTC, date, datetime, timedelta

import pytest

from kilns.models import Run, RunStack
from kilns.services.kiln_queue import CHANGE_OVER_DAYS, USUAL_DAYS, kiln_queue
from tests.kilns.make import make_kiln
from tests.make import make_stack
from yard.wood.ranges import OutsideRange

TODAY = date(2026, 3, 10)
BEGAN = datetime(2026, 3, 2, 15, tzinfo=UTC)
DAYS = {"days": {"low": 10, "mid": 14, "high": 22}, "extra_days": 2, "footage_bf": 310.0}


def make_run(kiln, name, state="planned", plan=None, **fields):
    return Run.objects.create(kiln=kiln, name=name, state=state, plan=DAYS if plan is None else plan, **fields)


def test_a_running_run_comes_first_and_the_planned_one_waits_for_it(yard):
    kiln = make_kiln("Barn kiln")
    make_run(kiln, "next", planned_start_on=TODAY)
    now = make_run(kiln, "now", "running", started_at=BEGAN)
    RunStack.objects.create(run=now, stack=make_stack("ST-7"))
    (queue,) = kiln_queue(today=TODAY)
    running, planned = queue.runs
    assert (running.name, running.running, running.start_on) == ("now", True, date(2026, 3, 2))
    assert (running.days_low, running.days_mid, running.days_high) == (12, 16, 24)
    assert (running.stack_ids, running.charge_bf) == ((now.run_stacks.get().stack_id,), 310.0)
    assert planned.start_on == date(2026, 3, 2) + timedelta(days=16 + CHANGE_OVER_DAYS)


def test_a_kiln_is_free_after_its_last_run_and_later_when_one_must_be_sure(yard):
    kiln = make_kiln()
    make_run(kiln, "now", "running", started_at=BEGAN)
    (queue,) = kiln_queue(today=TODAY)
    assert queue.free_from(TODAY) == date(2026, 3, 2) + timedelta(days=18)
    assert queue.free_from(TODAY, 0.9) == date(2026, 3, 2) + timedelta(days=26)


def test_an_idle_kiln_is_free_today_and_says_what_it_takes(yard):
    make_kiln()
    (queue,) = kiln_queue(today=TODAY)
    assert (queue.runs, queue.free_from(TODAY), queue.usual_days) == ((), TODAY, USUAL_DAYS)
    assert queue.capacity_bf(1.0, live_edge=False) > queue.capacity_bf(1.0) > 100
    with pytest.raises(OutsideRange):
        queue.capacity_bf(24.0)


def test_a_run_that_was_never_worked_out_takes_the_days_of_those_closed_before(yard):
    kiln = make_kiln()
    make_run(kiln, "before", "closed", started_at=BEGAN, closed_at=BEGAN + timedelta(days=20))
    make_run(kiln, "next", plan={}, planned_start_on=TODAY)
    (queue,) = kiln_queue(today=TODAY)
    (run,) = queue.runs
    assert (run.days_low, run.days_mid, run.days_high, run.guessed) == (20, 20, 30, True)


def test_a_closed_kiln_and_closed_runs_are_no_part_of_the_queue(yard):
    make_run(make_kiln(), "gone", "given_up")
    kiln = make_kiln("Old")
    kiln.closed_on = TODAY
    kiln.save()
    (queue,) = kiln_queue(today=TODAY)
    assert queue.runs == ()


def test_the_queue_takes_the_same_few_queries_whatever_there_is(yard, django_assert_num_queries):
    for _ in range(3):
        kiln = make_kiln()
        for n in range(3):
            RunStack.objects.create(run=make_run(kiln, f"{n}"), stack=make_stack())
    with django_assert_num_queries(4):
        kiln_queue(today=TODAY)
