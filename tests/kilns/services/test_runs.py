"""A run from plan to end: what is refused, what moves, and what is written down."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from kilns.models import Alarm, Run
from kilns.physics.schedules import humid_step
from kilns.services.kilns import kiln_close
from kilns.services.run_phases import set_points
from kilns.services.run_records import (
    condensate_record,
    energy_record,
    final_reading_record,
    run_note_record,
    run_record_void,
)
from kilns.services.runs import run_change, run_give_up, run_plan, run_start
from kilns.services.schedules import schedule_change
from tests.kilns.make import BEGAN, go_on, make_kiln, make_kiln_sensor, make_run, make_running, make_schedule
from tests.make import make_stack
from yard.models import History, MeterReading
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.stacks import stack_move, stack_restack, stack_take_down
from yard.wood.ranges import OutsideRange


def test_a_planned_run_gets_a_name_keeps_its_plan_and_moves_nothing(yard):
    stack = make_stack("ST-7")
    run = make_run(kiln=make_kiln("Barn kiln"), stacks=[stack], plan={"days": {"low": 1, "mid": 2, "high": 3}})
    run.refresh_from_db()
    assert (run.name, run.state, run.plan["days"]["mid"]) == ("Barn kiln 1", "planned", 2)
    stack.refresh_from_db()
    assert stack.bay != run.kiln.bay


def test_a_stack_is_in_one_queued_run_only(yard):
    stack = make_stack("ST-7")
    first = make_run(stacks=[stack], name="March oak")
    with pytest.raises(ValidationError, match="ST-7 is in March oak already, which is planned"):
        make_run(stacks=[stack])
    run_give_up(run=first, by=None, reason="sold green")
    assert make_run(stacks=[stack]).state == "planned"


def test_no_stack_a_stack_taken_down_and_a_closed_kiln_are_refused(yard):
    kiln, stack = make_kiln("Old kiln"), make_stack("ST-7")
    with pytest.raises(ValidationError, match="Choose at least one stack"):
        run_plan(kiln=kiln, stacks=[], schedule=None, target_mc_pct=8.0, by=None)
    stack = stack_take_down(stack=stack, at=timezone.now(), by=None)
    with pytest.raises(ValidationError, match="Taken down: ST-7"):
        make_run(kiln=kiln, stacks=[stack])
    kiln.closed_on = timezone.localdate()
    with pytest.raises(ValidationError, match="Old kiln is closed"):
        make_run(kiln=kiln)


def test_starting_moves_the_stacks_into_the_kiln_and_lets_its_air_be_measured(yard):
    kiln = make_kiln()
    sensor = make_kiln_sensor(kiln)
    run = make_running(kiln=kiln)
    stack = run.run_stacks.get().stack
    assert stack.bay == kiln.bay
    assert stack.stays.get(until__isnull=True).since == BEGAN
    kiln.bay.refresh_from_db()
    assert (kiln.bay.air, kiln.bay.sensor) == ("sensor", sensor)
    phase = run.phases.get()
    assert (run.phase, phase.phase, phase.began_at, phase.dry_bulb_f) == ("warm_up", "warm_up", BEGAN, 100.0)


def test_a_stack_built_anew_for_the_kiln_is_followed_to_its_new_name(yard):
    old = make_stack("ST-7")
    run = make_run(stacks=[old])
    slabs = list(old.slabs_now.all())
    anew = stack_restack(tag="ST-7k", slabs=slabs, bay=old.bay, at=BEGAN - timedelta(days=1), by=None, width_ft=3.0)
    run = make_running(run=run)
    assert [one.stack for one in run.run_stacks.all()] == [anew]
    anew.refresh_from_db()
    assert anew.bay == run.kiln.bay


def test_of_two_stacks_built_from_one_only_that_in_the_kiln_is_followed(yard):
    old = make_stack("ST-7")
    run = make_run(stacks=[old])
    slabs, row = list(old.slabs_now.all()), old.bay
    at = BEGAN - timedelta(days=2)
    first = stack_restack(tag="ST-7k", slabs=slabs[:2], bay=row, at=at, by=None, width_ft=3.0)
    stack_restack(tag="ST-7w", slabs=slabs[2:], bay=row, at=at, by=None)
    with pytest.raises(ValidationError, match="built anew into ST-7k, ST-7w"):
        make_running(run=run)
    stack_move(stack=first, bay=run.kiln.bay, at=at + timedelta(days=1), by=None)
    assert [one.stack.tag for one in make_running(run=run).run_stacks.all()] == ["ST-7k"]


def test_a_stack_taken_down_for_good_is_planned_anew(yard):
    old = make_stack("ST-7")
    run = make_run(stacks=[old])
    stack_take_down(stack=old, at=BEGAN - timedelta(days=1), by=None)
    with pytest.raises(ValidationError, match="ST-7 was taken down: plan the run anew without it"):
        make_running(run=run)


def test_only_one_run_goes_on_in_a_kiln_and_only_a_planned_one_is_started(yard):
    kiln = make_kiln("Barn kiln")
    first = make_running(kiln=kiln, name="first")
    with pytest.raises(ValidationError, match="first is going on in Barn kiln"):
        make_running(kiln=kiln, name="second")
    with pytest.raises(ValidationError, match="first is running: only a planned run is started"):
        run_start(run=first, by=None, at=BEGAN)
    assert Run.objects.running().count() == 1


def test_two_runs_were_never_in_one_kiln_at_once_and_a_closed_kiln_takes_none(yard):
    kiln = make_kiln("Barn kiln")
    first = make_running(kiln=kiln, name="first")
    run_give_up(run=first, by=None, reason="the fan burnt out", at=BEGAN + timedelta(days=9))
    second = make_run(kiln=kiln)
    with pytest.raises(ValidationError, match="first was in Barn kiln until"):
        make_running(run=second, at=BEGAN + timedelta(days=2))
    kiln_close(kiln=kiln, by=None)
    with pytest.raises(ValidationError, match="Barn kiln is closed"):
        make_running(run=second, at=BEGAN + timedelta(days=10))


def test_a_stack_that_is_planned_elsewhere_is_not_followed_into_a_run(yard):
    old = make_stack("ST-7")
    run = make_run(stacks=[old])
    slabs = list(old.slabs_now.all())
    anew = stack_restack(tag="ST-7k", slabs=slabs, bay=old.bay, at=BEGAN - timedelta(days=1), by=None)
    make_run(stacks=[anew], name="April oak")
    with pytest.raises(ValidationError, match="ST-7k is in April oak already"):
        make_running(run=run)


def test_what_is_done_to_a_run_is_seen_by_its_alarms_at_once(yard, django_capture_on_commit_callbacks):
    run = make_running()
    Alarm.objects.create(kiln=run.kiln, run=run, kind="frozen", level="caution", words="a", what_to_do="b")
    with django_capture_on_commit_callbacks(execute=True):
        run_give_up(run=run, by=None, reason="the fan burnt out")
    assert Alarm.objects.get().closed_at is not None


def test_a_run_is_not_started_in_the_future_nor_before_its_stack_last_moved(yard):
    with pytest.raises(ValidationError, match="has not come yet"):
        make_running(at=timezone.now() + timedelta(days=1))
    run = make_run()
    with pytest.raises(ValidationError, match="choose that moment or a later one"):
        run_start(run=run, by=None, at=BEGAN - timedelta(days=400))
    run.refresh_from_db()
    assert (run.state, run.phases.count()) == ("planned", 0)


def test_phases_follow_each_other_and_keep_their_set_points(yard):
    run = make_running()
    # 110 °F and 60%: EMC 10.0% by Table 4-2 of the Wood Handbook, wet bulb found from the humidity
    go_on(run, "drying", 2, BEGAN + timedelta(days=1), set_points(110.0, None, 60.0))
    warm, drying = run.phases.order_by("began_at")
    assert warm.ended_at == drying.began_at == BEGAN + timedelta(days=1)
    assert drying.emc_pct == pytest.approx(10.0, abs=0.2)
    assert 95 < drying.wet_bulb_f < 97
    with pytest.raises(ValidationError, match="Drying began on"):
        go_on(run, "drying", 3, BEGAN)
    with pytest.raises(ValidationError, match="has 4 steps"):
        go_on(run, "drying", 9, BEGAN + timedelta(days=2))


def test_two_people_going_on_at_once_notice_each_other(yard):
    run = make_running()
    with pytest.raises(ChangedMeanwhile):
        run_change(run=run, by=None, version=run.version - 1, name="other")
    kept = run_change(run=run, by=None, version=Run.objects.get().version, name="Slow oak")
    assert kept.name == "Slow oak"
    assert History.objects.filter(table="run", action="changed").count() == 1


def test_the_schedule_of_a_running_run_is_not_changed_under_it(yard):
    schedule = make_schedule()
    make_running(schedule=schedule)
    with pytest.raises(ValidationError, match="A run is going on by this schedule"):
        schedule_change(schedule=schedule, by=None, version=1, steps=[humid_step(400, 90, 80)])


def test_records_count_once_and_a_wrong_one_is_voided_with_a_reason(yard):
    run = make_running()
    first, new = condensate_record(run=run, water_lb=12.5, by=None)
    again, known = condensate_record(run=run, water_lb=12.5, by=None, client_key=first.client_key)
    assert (new, known, again.pk) == (True, False, first.pk)
    run_record_void(record=first, reason="spilt", by=None)
    assert run.condensates.standing().count() == 0
    assert run.condensates.count() == 1


def test_a_meter_does_not_run_backwards_and_water_has_bounds(yard):
    run = make_running()
    energy_record(run=run, meter_kwh=120.0, by=None, at=BEGAN + timedelta(days=1))
    with pytest.raises(ValidationError, match="It showed 120 kWh before"):
        energy_record(run=run, meter_kwh=90.0, by=None, at=BEGAN + timedelta(days=2))
    with pytest.raises(ValidationError, match="It showed 120 kWh later"):
        energy_record(run=run, meter_kwh=150.0, by=None, at=BEGAN + timedelta(hours=2))
    with pytest.raises(OutsideRange):
        condensate_record(run=run, water_lb=-1.0, by=None)


def test_nothing_is_recorded_before_the_run_began(yard):
    run = make_run(name="March oak")
    with pytest.raises(ValidationError, match="March oak has not begun"):
        run_note_record(run=run, note="warped", by=None)
    run = make_running(run=run)
    with pytest.raises(ValidationError, match="before the run began"):
        run_note_record(run=run, note="warped", by=None, at=BEGAN - timedelta(hours=1))
    with pytest.raises(ValidationError, match="Say how far the prongs bend"):
        run_note_record(run=run, note="", kind="prong", by=None)


def test_the_final_mc_of_a_board_by_meter_is_a_meter_reading_of_the_yard_too(yard):
    run = make_running()
    slab = run.run_stacks.get().stack.slabs_now.first()
    final_reading_record(run=run, slab=slab, mc_pct=8.2, by=None, at=BEGAN + timedelta(days=20))
    reading = MeterReading.objects.get()
    assert (reading.slab, reading.reading_pct, reading.usable) == (slab, 8.2, True)
    final_reading_record(run=run, slab=slab, mc_pct=8.4, by=None, by_meter=False)
    assert MeterReading.objects.count() == 1


def test_giving_up_needs_a_reason_and_leaves_the_wood_where_it_stands(yard):
    run = make_running()
    with pytest.raises(ValidationError, match="Say why"):
        run_give_up(run=run, by=None, reason=" ")
    run = run_give_up(run=run, by=None, reason="the fan burnt out")
    assert (run.state, run.phases.get().ended_at) == ("given_up", run.closed_at)
    assert run.run_stacks.get().stack.bay == run.kiln.bay
    with pytest.raises(ValidationError, match="given up already"):
        run_give_up(run=run, by=None, reason="again")
