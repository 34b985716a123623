"""A hub that sends twice, two hubs at once, two looks at one kiln: nothing lost, nothing doubled, with real threads."""

from datetime import UTC, datetime, timedelta
from functools import partial

import pytest

from kilns.models import Alarm, KilnSensor, Run, RunPhase, RunState
from kilns.services.alarms import alarms_check
from kilns.services.kiln_build import Build
from kilns.services.kiln_sensors import kiln_sensor_put
from tests.kilns.make import make_kiln
from tests.make import make_sensor, make_yard
from tests.yard.services.test_slab_races import at_once
from yard.models import Reading, SensorDay
from yard.services.posted_readings import PostedReading, posted_readings_keep
from yard.services.reading_tokens import reading_token_make
from yard.services.readings import ReadingIn

pytestmark = pytest.mark.django_db(transaction=True)
NOON = datetime(2025, 6, 1, 17, tzinfo=UTC)
MANY = 700  # enough for PostgreSQL to copy them


def message(sensor, first, count, temp_f=60.0):
    times = (NOON + timedelta(minutes=first + n) for n in range(count))
    return [PostedReading(n, sensor.code, ReadingIn(at, temp_f=temp_f)) for n, at in enumerate(times, 1)]


@pytest.mark.parametrize("count", [5, MANY])
def test_a_message_sent_six_times_at_once_is_kept_once(count):
    make_yard()
    sensor = make_sensor("Post")
    token = reading_token_make(name="Hub", sensors=[sensor], by=None)[0]
    answers = at_once([lambda: posted_readings_keep(token=token, posted=message(sensor, 0, count))] * 6)
    assert sorted(one.taken for one in answers) == [0] * 5 + [count]
    assert sum(one.known for one in answers) == 5 * count
    assert Reading.objects.count() == count


def test_two_halves_of_a_day_at_once_make_one_mean_of_both():
    make_yard()
    sensor = make_sensor("Post")
    token = reading_token_make(name="Hub", sensors=[sensor], by=None)[0]
    for turn in range(5):
        first = turn * 60
        halves = [message(sensor, first, 30, 40.0), message(sensor, first + 30, 30, 80.0)]
        answers = at_once([lambda half=half: posted_readings_keep(token=token, posted=half) for half in halves])
        assert [one.taken for one in answers] == [30, 30]
    day = SensorDay.objects.get()
    assert (day.readings, day.temp_f) == (300, 60.0)


def test_two_hubs_that_name_the_same_sensors_do_not_wait_for_each_other_for_ever():
    make_yard()
    sensors = [make_sensor("A"), make_sensor("B")]
    tokens = [reading_token_make(name="Hub", sensors=sensors, by=None)[0] for _ in range(2)]
    for turn in range(10):
        works = []
        for token, order in zip(tokens, (sensors, sensors[::-1]), strict=True):
            posted = [one for sensor in order for one in message(sensor, 10 * turn, 10)]
            works.append(lambda token=token, posted=posted: posted_readings_keep(token=token, posted=posted))
        answers = at_once(works)
        assert sum(one.taken for one in answers) == 20, answers
    assert Reading.objects.count() == 200


def test_six_looks_at_once_open_an_alarm_once():
    make_yard()
    kiln, sensor = make_kiln("Box", build=Build()), make_sensor("Air")
    kiln_sensor_put(kiln=kiln, sensor=sensor, place="air_in", by=None, since=NOON - timedelta(days=1))
    run = Run.objects.create(kiln=kiln, name="First", state=RunState.RUNNING, phase="drying", started_at=NOON)
    RunPhase.objects.create(run=run, phase="drying", began_at=NOON, dry_bulb_f=100.0)
    Reading.objects.create(sensor=sensor, at=NOON, temp_f=130.0)
    looks = at_once([lambda: [one.kind for one in alarms_check(kiln=kiln, at=NOON)]] * 6)
    assert looks == [["hot-wood"]] * 6
    assert Alarm.objects.count() == 1


def test_two_kilns_that_reach_for_one_sensor_get_it_once():
    make_yard()
    kilns = [make_kiln("One", build=Build()), make_kiln("Two", build=Build())]
    for turn in range(5):
        sensor = make_sensor(f"Air {turn}")
        put = partial(kiln_sensor_put, sensor=sensor, place="core", by=None)
        works = [partial(put, kiln=kiln) for kiln in kilns]
        results = at_once(works)
        assert sorted(type(one).__name__ for one in results) == ["KilnSensor", "ValidationError"], results
    assert KilnSensor.objects.count() == 5
