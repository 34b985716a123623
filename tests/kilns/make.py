"""Kilns to test with: `make_kiln()` is the example kiln with its parts, in a bay of its own; `make_run()` its run."""

from datetime import UTC, datetime, timedelta
from itertools import count

from django.utils import timezone

from kilns.models import KilnSensor
from kilns.physics.schedules import humid_step
from kilns.services.example_build import example_build, example_fields
from kilns.services.kilns import kiln_add
from kilns.services.run_phases import SetPoints, set_points
from kilns.services.runs import run_go_on, run_plan, run_start
from kilns.services.schedules import schedule_add
from tests.make import make_sensor, make_stack
from yard.services.readings import ReadingIn, readings_record

BEGAN = datetime(2026, 3, 2, 15, tzinfo=UTC)
STEPS = ((400.0, 100.0, 80.0), (30.0, 110.0, 60.0), (20.0, 118.0, 40.0), (12.0, 120.0, 28.0))
_number = count(1)


def make_kiln(name="", build=None, bay=None, **fields):
    """The example kiln, or another build."""
    chosen = example_fields() | {"name": name or f"Kiln {next(_number)}"} | fields
    return kiln_add(by=None, build=example_build() if build is None else build, bay=bay, **chosen)


def make_schedule(name="", steps=STEPS):
    """A gentle schedule of four steps."""
    return schedule_add(
        by=None, name=name or f"Schedule {next(_number)}", steps=[humid_step(*step, 0.0) for step in steps]
    )


def make_run(kiln=None, stacks=None, schedule=None, target_mc_pct=8.0, **fields):
    """A planned run of one new stack."""
    return run_plan(
        kiln=kiln or make_kiln(), stacks=stacks or [make_stack()], schedule=schedule or make_schedule(),
        target_mc_pct=target_mc_pct, by=None, **fields,
    )  # fmt: skip


def make_running(at=BEGAN, run=None, **fields):
    """A run that has begun at BEGAN with its warm-up."""
    return run_start(run=run or make_run(**fields), by=None, at=at, points=set_points(100.0, 94.0, None))


def go_on(run, phase, step=1, at=None, points=None):
    """The next phase or step of a run."""
    run.refresh_from_db()
    moment = at or run.started_at + timedelta(days=1)
    return run_go_on(
        run=run, by=None, version=run.version, phase=phase, step=step, at=moment, points=points or SetPoints()
    )


def make_kiln_sensor(kiln, place="air_in", name="", since=None, **fields):
    """A sensor that reads a place of a kiln."""
    sensor = make_sensor(name or f"Kiln sensor {next(_number)}", **fields)
    KilnSensor.objects.create(kiln=kiln, sensor=sensor, place=place, since=since or BEGAN - timedelta(days=400))
    return sensor


def read_every(sensor, since, until, minutes=10, **values):
    """Readings of a sensor at an even pace; a value may be a function of the minutes since the start."""
    rows, at = [], since
    while at <= until:
        gone = (at - since).total_seconds() / 60
        given = {name: value(gone) if callable(value) else value for name, value in values.items()}
        rows.append(ReadingIn(at=at, **given))
        at += timedelta(minutes=minutes)
    return readings_record(sensor=sensor, rows=rows)


def days_ago(days):
    """A moment so many days before now, on the whole hour."""
    return (timezone.now() - timedelta(days=days)).replace(minute=0, second=0, microsecond=0)
