"""Two people at one kiln in the same moment, with real threads: a stack goes into one run, a run is closed once."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from kilns.models import Run, RunState
from kilns.services.run_closing import Closing, run_close
from kilns.services.run_phases import SetPoints
from kilns.services.run_records import final_reading_record
from kilns.services.runs import run_go_on, run_start
from tests.kilns.make import BEGAN, make_kiln, make_run, make_running, make_schedule
from tests.make import make_stack, make_yard
from tests.yard.services.test_slab_races import at_once
from yard.models import History, Stay
from yard.services.changed_meanwhile import ChangedMeanwhile

pytestmark = pytest.mark.django_db(transaction=True)
HANDS = 4


def refused(answers):
    return [one for one in answers if isinstance(one, (ValidationError, ChangedMeanwhile))]


def test_of_plans_at_once_with_the_same_stack_one_is_kept():
    make_yard()
    kiln, schedule, stack = make_kiln(), make_schedule(), make_stack()
    answers = at_once([lambda: make_run(kiln=kiln, schedule=schedule, stacks=[stack])] * HANDS)
    assert (Run.objects.count(), len(refused(answers))) == (1, HANDS - 1), answers


def test_of_runs_started_at_once_in_one_kiln_one_goes_on():
    make_yard()
    kiln, schedule = make_kiln(), make_schedule()
    runs = [make_run(kiln=kiln, schedule=schedule) for _ in range(2)]
    answers = at_once([lambda run=run: run_start(run=run, by=None, at=BEGAN) for run in runs * 2])
    assert (Run.objects.running().count(), len(refused(answers))) == (1, 3), answers
    assert Stay.objects.filter(bay=kiln.bay).count() == 1


def test_a_run_closed_and_carried_on_in_several_windows_at_once_is_closed_or_carried_on_once():
    make_yard()
    run = make_running(kiln=make_kiln(energy_price="0.20"))
    slab = run.run_stacks.get().stack.slabs_now.first()
    final_reading_record(run=run, slab=slab, mc_pct=8.0, by=None, at=BEGAN + timedelta(days=2))
    closing = Closing(at=BEGAN + timedelta(days=3), store=None, take_down=True, other_cost=None)

    def close():
        return run_close(run=run, by=None, version=run.version, closing=closing)

    def go_on():
        at = BEGAN + timedelta(days=1)
        return run_go_on(run=run, by=None, version=run.version, phase="drying", step=1, at=at, points=SetPoints())

    answers = at_once([close, go_on, close, close])
    assert len(refused(answers)) == 3, answers
    run.refresh_from_db()
    closed = History.objects.filter(table="run", action="closed").count()
    assert (closed == 1) is (run.state == RunState.CLOSED)
    assert History.objects.filter(table="slab", action="called dry").count() == (4 if closed else 0)
