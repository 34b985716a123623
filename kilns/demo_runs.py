"""Three runs of the invented yard: walnut slabs that came out in autumn, thin walnut in the kiln, red oak to come."""

from datetime import datetime, timedelta
from decimal import Decimal
from math import pi, sin
from typing import Any

from django.utils import timezone

from kilns.models import Alarm, Kiln, Phase, Run, RunStack, RunState, Schedule, SensorPlace
from kilns.physics.treatments import heat_treatments
from kilns.services.alarms import alarms_check_all
from kilns.services.charge_plan import charge_work_out
from kilns.services.charge_schedules import charge_schedule, charge_schedule_keep
from kilns.services.charge_stacks import WoodOfStack
from kilns.services.core_hold import probe_hold
from kilns.services.kiln_sensors import kiln_sensor_put
from kilns.services.run_closing import closing_summary
from kilns.services.run_phases import phase_begin, phase_end, set_points
from kilns.services.run_records import condensate_record, energy_record, final_reading_record, run_note_record
from kilns.services.run_sensors import run_sensors, run_span
from kilns.services.runs import run_go_on, run_plan, run_start
from kilns.services.treatments import treatment_keep_probe
from yard.demo.clock import Clock, happened
from yard.demo.pictures import face_grain
from yard.models import Bay, Cohort, Person, Photo, Reading, Sample, Sensor, SensorKind, Slab, Stack, Weighing, Yard
from yard.services.estimates import estimates_refresh, estimates_refresh_stale
from yard.services.history import history_add
from yard.services.photos import photo_add
from yard.services.readings import ReadingIn, readings_record
from yard.services.weighings import weighing_record

WALNUT_IN, WALNUT_OUT, HEAT_AT = 150, 92, 94  # days ago; the yard's own story has the stack in the kiln so long
THIN_IN, OAK_STARTS_IN = 6, 9
DONE, NOW, NEXT = "ST-3", "ST-11", "ST-1"
FINAL_MCS_PCT = (8.1, 8.6, 8.3, 8.7, 8.4)


def runs_add(kiln: Kiln, owner: Person | None) -> None:
    """Write the three runs, their sensors and readings, then bring the estimates up to what was read."""
    yard = Yard.objects.get()
    with timezone.override(yard.time_zone):
        clock = Clock(timezone.localdate())
        probe = _sensors(kiln, clock, owner)
        _closed(kiln, clock, owner, yard, probe)
        _going_on(kiln, clock, owner, yard)
        _to_come(kiln, clock, owner, yard)
        _lately(kiln, clock, probe)
        estimates_refresh_stale(because="the demo was built")
        Alarm.objects.filter(kiln=kiln).delete()  # what was told while the past was written
        alarms_check_all()


def _sensors(kiln: Kiln, clock: Clock, owner: Person | None) -> Sensor:
    """The kiln's own: the one under the ridge, and a probe in the thickest board."""
    top = Bay.objects.get(pk=kiln.bay_id).sensor
    probe = Sensor.objects.create(name="Core probe", kind=SensorKind.CORE, note="In the middle of the thickest board.")
    since = clock.at(400, 8)
    for sensor, place in ((top, SensorPlace.AIR_IN), (probe, SensorPlace.CORE)):
        with happened(since):
            kiln_sensor_put(kiln=kiln, sensor=sensor, place=place, by=owner, since=since, silent_after_min=180)
    return probe


def _closed(kiln: Kiln, clock: Clock, owner: Person | None, yard: Yard, probe: Sensor) -> None:
    """The walnut: the yard's story has it in the kiln, called dry and taken down; here is the run that it was."""
    stack = Stack.objects.get(tag=DONE)
    begun, out = clock.at(WALNUT_IN, 13), clock.at(WALNUT_OUT, 12)
    schedule = Schedule.objects.get(name="Slow walnut slabs")
    plan = _worked_out(kiln, stack, clock, WALNUT_IN, 8.0, yard)
    with happened(begun):
        run = Run.objects.create(
            kiln=kiln, name="Walnut slabs", schedule=schedule,
            state=RunState.RUNNING, phase=Phase.COOL, step=4, target_mc_pct=8.0, planned_start_on=clock.day(WALNUT_IN),
            started_at=begun, plan=plan, energy_start_kwh=4210.0, created_at=begun,
        )  # fmt: skip
        RunStack.objects.create(run=run, stack=stack)
        history_add(run, by=owner, action="started")
    _phases(run, clock, owner)
    _heat(clock, kiln.bay.sensor, probe)
    _seen(run, stack, clock, owner)
    with happened(clock.at(HEAT_AT - 1, 9)):
        sensors = run_sensors(run, run_span(run, out))
        window = (clock.at(HEAT_AT, 8), clock.at(HEAT_AT - 1, 8))
        hold = probe_hold(sensors, *window, heat_treatments()[0])
        kept = treatment_keep_probe(run=run, hold=hold, slowest="E-4, 2 1/4 in thick, middle of course 3", by=owner)
        type(kept).objects.filter(pk=kept.pk).update(created_at=clock.at(HEAT_AT - 1, 9))
    _end(run, stack, out, owner)


def _phases(run: Run, clock: Clock, owner: Person | None) -> None:
    told = (
        (150, Phase.WARM_UP, 1, 90.0, 80.0), (149, Phase.DRYING, 2, 95.0, 65.0), (135, Phase.DRYING, 3, 105.0, 50.0),
        (118, Phase.DRYING, 4, 115.0, 38.0), (99, Phase.EQUALISE, 4, 110.0, 33.0),
        (96, Phase.CONDITION, 4, 110.0, 62.0), (94, Phase.SANITISE, 1, 145.0, 30.0), (93, Phase.COOL, 1, None, None),
    )  # fmt: skip
    for ago, phase, step, dry_f, rh_pct in told:
        points = set_points(dry_f, None, rh_pct)
        phase_begin(run=run, phase=phase, step=step, at=clock.at(ago, 14), points=points, by=owner)


def _heat(clock: Clock, air: Sensor, probe: Sensor) -> None:
    """A day at 145 °F, read every five minutes, in place of what the yard's story has for that day."""
    begin, end = clock.at(HEAT_AT, 14), clock.at(HEAT_AT - 1, 6)
    Reading.objects.filter(sensor=air, at__range=(begin, end)).delete()
    minutes = range(0, int((end - begin).total_seconds() / 60), 5)
    readings_record(
        sensor=air,
        rows=[ReadingIn(at=begin + timedelta(minutes=m), temp_f=round(_ramp(m, 112, 145, 240), 1), rh_pct=28.0)
              for m in minutes],
    )  # fmt: skip
    readings_record(
        sensor=probe,
        rows=[
            ReadingIn(at=begin + timedelta(minutes=m), core_f=round(_ramp(m - 60, 108, 139, 600), 1)) for m in minutes
        ],
    )


def _ramp(minute: float, low_f: float, high_f: float, within_min: float) -> float:
    return low_f + (high_f - low_f) * min(1.0, max(0.0, minute / within_min))


def _seen(run: Run, stack: Stack, clock: Clock, owner: Person | None) -> None:
    for ago, water_lb, kwh in ((140, 31.5, 4276), (128, 27.0, 4343), (114, 19.5, 4418), (100, 9.0, 4476)):
        moment = clock.at(ago, 18)
        condensate_record(run=run, water_lb=water_lb, by=owner, at=moment, typed_value=f"{water_lb:g}", typed_unit="lb")
        energy_record(run=run, meter_kwh=kwh, by=owner, at=moment)
    run_note_record(run=run, kind="prong", value=0.25, note="E-2", by=owner, at=clock.at(97, 11))
    run_note_record(run=run, kind="prong", value=0.06, note="E-5", by=owner, at=clock.at(94, 11))
    run_note_record(run=run, kind="degrade", note="A check at the crotch of one slab.", by=owner, at=clock.at(93, 15))
    with happened(clock.at(93, 15)):
        photo = photo_add(thing=run, upload=face_grain("walnut-black", 29), by=owner, caption="E-4 as it came out")
    Photo.objects.filter(pk=photo.pk).update(added_at=clock.at(93, 15))
    slabs = Slab.objects.filter(memberships__stack=stack).distinct().order_by("position")
    for slab, content in zip(slabs, FINAL_MCS_PCT, strict=False):
        final_reading_record(
            run=run, slab=slab, mc_pct=content, by=owner, at=clock.at(WALNUT_OUT + 1, 10), by_meter=False
        )


def _end(run: Run, stack: Stack, out: datetime, owner: Person | None) -> None:
    with happened(out):
        phase_end(run=run, at=out)
        run.state, run.closed_at, run.energy_end_kwh = RunState.CLOSED, out, 4534.0
        run.energy_cost = Decimal("51.84")  # 324 kWh at 0.16
        run.final_mc_pct = round(sum(FINAL_MCS_PCT) / len(FINAL_MCS_PCT), 2)
        slabs = list(Slab.objects.filter(memberships__stack=stack).distinct())
        run.closing = closing_summary(run, list(run.final_readings.standing()), slabs)
        run.closing |= {
            "learned": ["The yard's belief in such wood moved with this stack: see the next one's estimate."]
        }
        run.save()
        history_add(run, by=owner, action="closed")


def _going_on(kiln: Kiln, clock: Clock, owner: Person | None, yard: Yard) -> None:
    """The thin walnut that the yard's story moved into the kiln some days ago."""
    stack, begun = Stack.objects.get(tag=NOW), clock.at(THIN_IN, 13)
    run = _planned(kiln, stack, clock, THIN_IN, owner, yard, "Thin walnut")
    with happened(begun):
        run = run_start(run=run, by=owner, at=begun, points=set_points(105.0, None, 60.0), meter_kwh=4470.0)
    with happened(clock.at(THIN_IN - 1, 14)):
        run = run_go_on(
            run=run, by=owner, version=run.version, phase=Phase.DRYING, step=max(1, _first_step(run)),
            at=clock.at(THIN_IN - 1, 14), points=set_points(115.0, None, 35.0),
        )  # fmt: skip
    _weighed(stack, clock, owner)
    condensate_record(run=run, water_lb=2.5, by=owner, at=clock.at(2, 18), typed_value="2.5", typed_unit="lb")
    energy_record(run=run, meter_kwh=4512.0, by=owner, at=clock.at(2, 18))


def _lately(kiln: Kiln, clock: Clock, probe: Sensor) -> None:
    """The last days, hour by hour until just now: the yard's story has the air of whole days alone."""
    now = timezone.now() - timedelta(minutes=10)
    begun = clock.at(THIN_IN, 13)
    hours = [begun + timedelta(hours=n) for n in range(int((now - begun).total_seconds() // 3600) + 1)] + [now]
    last = Reading.objects.filter(sensor=kiln.bay.sensor).latest("at").at
    air = [ReadingIn(at=at, temp_f=118.0, rh_pct=36.0) for at in hours if at > last]
    core = [ReadingIn(at=at, core_f=round(_ramp(n, 60, 104, 30) + 4 * sin(n / 24 * 2 * pi), 1))
            for n, at in enumerate(hours)]  # fmt: skip
    readings_record(sensor=kiln.bay.sensor, rows=air)
    readings_record(sensor=probe, rows=core)


def _first_step(run: Run) -> int:
    return (run.plan.get("step") or [1])[0]


def _weighed(stack: Stack, clock: Clock, owner: Person | None) -> None:
    """Its samples weighed on the second day, true to what the estimate expects."""
    cohort = stack.cohorts.select_related("estimate").get()
    at = clock.at(THIN_IN - 2, 17)
    for sample in Sample.objects.filter(cohort=cohort, retired_at__isnull=True).order_by("name"):
        first = sample.weighings.standing().first()
        then, now = (cohort.estimate.mean_on(timezone.localdate(one)) for one in (first.made_at, at))
        weight_lb = round(first.weight_lb * (100 + now) / (100 + then), 2)
        kept, _ = weighing_record(
            sample=sample, weight_lb=weight_lb, by=owner, made_at=at, typed_value=f"{weight_lb:g}", typed_unit="lb"
        )
        Weighing.objects.filter(pk=kept.pk).update(received_at=at + timedelta(seconds=20))
    estimates_refresh(cohort_ids=[cohort.pk], because="weighed in the kiln")


def _to_come(kiln: Kiln, clock: Clock, owner: Person | None, yard: Yard) -> None:
    run = _planned(kiln, Stack.objects.get(tag=NEXT), clock, -OAK_STARTS_IN, owner, yard, "Red oak slabs")
    Run.objects.filter(pk=run.pk).update(created_at=clock.at(1, 9))


def _planned(kiln: Kiln, stack: Stack, clock: Clock, ago: int, owner: Person | None, yard: Yard, name: str) -> Run:
    """A run planned by the model, from the wood as it was estimated for the day of its start."""
    wood = _wood(stack, clock, ago)
    target_pct = min(8.0, wood.mc_pct - 2.0)
    plan = _worked_out(kiln, stack, clock, ago, target_pct, yard)
    with happened(clock.at(max(ago, 0) + 2, 9)):
        kept = charge_schedule_keep(kept=None, wood=wood, yard=yard, by=owner)
        return run_plan(
            kiln=kiln, stacks=[stack], schedule=kept, target_mc_pct=target_pct, by=owner,
            planned_start_on=clock.day(ago), plan=plan, name=name,
        )  # fmt: skip


def _worked_out(kiln: Kiln, stack: Stack, clock: Clock, ago: int, target_pct: float, yard: Yard) -> dict[str, Any]:
    wood = _wood(stack, clock, ago)
    schedule, _ = charge_schedule(None, wood, yard)
    return charge_work_out(
        kiln=kiln, woods=[wood], schedule=schedule, target_mc_pct=target_pct, start_on=clock.day(ago), yard=yard
    ).as_plan()


def _wood(stack: Stack, clock: Clock, ago: int) -> WoodOfStack:
    """A stack's wood as it was estimated for the day of its start; the estimate is changed in memory alone."""
    cohort = Cohort.objects.select_related("estimate", "stack").get(stack=stack)
    then = cohort.estimate.mean_on(clock.day(max(ago, 0))) or cohort.estimate.mean_pct
    cohort.estimate.core_pct += then - cohort.estimate.mean_pct
    cohort.estimate.mean_pct = then
    return WoodOfStack(cohort, _footage(stack))


def _footage(stack: Stack) -> float:
    return round(sum(slab.green_bf for slab in Slab.objects.filter(memberships__stack=stack).distinct()), 1)
