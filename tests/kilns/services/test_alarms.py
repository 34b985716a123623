"""Alarms: opened once, quiet until they change, closed when their cause is gone; each with its number and a deed."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from kilns.models import Alarm, Condensate, KilnSensor, Phase, Run, RunPhase, RunStack, RunState
from kilns.services import alarms
from kilns.services.alarms import alarm_see, alarms_check, alarms_check_all, alarms_check_sensor, alarms_of
from kilns.services.kiln_build import Build, DeviceTold, LayerTold, SurfaceTold
from tests.kilns.make import make_kiln
from tests.make import make_estimate, make_person, make_sensor, make_stack
from yard.models import OvenSection, Reading, Sample, Weighing
from yard.services.reading_tokens import reading_token_make

NOW = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
BOARD = LayerTold(own_name="hot-proof board", own_r_value=12.0, own_limit_f=300.0)
BUILD = Build(
    surfaces=(SurfaceTold("wall", "walls", 200.0, (BOARD,)),),
    devices=(DeviceTold("fan", "Fan", 100.0, limit_f=150.0),),
)


@pytest.fixture
def kiln(yard):
    return make_kiln("Box", build=BUILD)


@pytest.fixture
def air(kiln):
    return put(kiln, "air_in")


def put(kiln, place, silent_after_min=60, **fields):
    sensor = make_sensor(f"{place} of {kiln.name}", **fields)
    reading_token_make(name="Hub", sensors=[sensor], by=None)
    return KilnSensor.objects.create(
        kiln=kiln, sensor=sensor, place=place, silent_after_min=silent_after_min, since=NOW - timedelta(days=30)
    )


def read(place, at=NOW, **measured):
    """Ten minutes of the same air, up to a moment."""
    for n in range(10):
        Reading.objects.create(sensor=place.sensor, at=at - timedelta(minutes=n), **measured)


def run_of(kiln, phase=Phase.DRYING, began_at=NOW - timedelta(days=3), stacks=(), **points):
    run = Run.objects.create(kiln=kiln, name="First", state=RunState.RUNNING, phase=phase, started_at=began_at)
    RunPhase.objects.create(run=run, phase=phase, began_at=began_at, **points)
    for stack in stacks:
        RunStack.objects.create(run=run, stack=stack)
    return run


def kinds(kiln):
    return [(one.kind, one.level) for one in alarms_of(kiln)]


def check(kiln, at=NOW):
    alarms_check(kiln=kiln, at=at)
    return kinds(kiln)


def later(minutes):
    return NOW + timedelta(minutes=minutes)


def test_air_within_the_step_opens_nothing(kiln, air):
    run_of(kiln, dry_bulb_f=110.0, emc_pct=12.0)
    read(air, temp_f=111.0, rh_pct=72.0)
    assert check(kiln) == []


def test_air_far_over_the_set_point_is_told_once_with_its_numbers_and_what_to_do(kiln, air):
    run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=119.0, rh_pct=60.0)
    for minute in range(3):
        assert check(kiln, later(minute)) == [("hot-wood", "caution")]
    alarm = Alarm.objects.get()
    assert "119 °F, 9 °F over 110 °F, as set" in alarm.words
    assert "open the vents" in alarm.what_to_do
    assert (alarm.value, alarm.limit, alarm.opened_at) == (119.0, 110.0, NOW)


def test_air_on_its_way_down_to_a_gentler_step_is_no_alarm_yet(kiln, air):
    run = run_of(kiln, dry_bulb_f=125.0, emc_pct=6.0)
    run.phases.update(ended_at=NOW)
    RunPhase.objects.create(run=run, phase=Phase.DRYING, began_at=NOW, dry_bulb_f=110.0, emc_pct=12.0)
    read(air, later(30), temp_f=124.0, rh_pct=35.0)
    assert check(kiln, later(30)) == []
    read(air, later(130), temp_f=117.0, rh_pct=35.0)
    assert sorted(check(kiln, later(130))) == [("hot-wood", "caution"), ("too-dry", "danger")]
    run.phases.filter(ended_at__isnull=True).update(phase=Phase.COOL)
    assert check(kiln, later(131)) == []


def test_an_alarm_is_quiet_once_seen_until_it_gets_graver(kiln, air):
    hand = make_person("hand")
    run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=119.0)
    check(kiln)
    alarm_see(alarm=Alarm.objects.get(), by=hand)
    read(air, later(20), temp_f=121.0)
    check(kiln, later(20))
    alarm = Alarm.objects.get()
    assert (alarm.seen_by, alarm.level) == (hand, "caution")
    assert "121 °F" in alarm.words
    read(air, later(40), temp_f=127.0)
    check(kiln, later(40))
    alarm = Alarm.objects.get()
    assert (alarm.level, alarm.seen_at, alarm.opened_at) == ("danger", None, NOW)


def test_an_alarm_closes_only_when_its_cause_is_well_gone_and_opens_anew_after(kiln, air):
    run_of(kiln, dry_bulb_f=110.0)
    for minute, temp_f, is_open in ((0, 116.0, True), (20, 114.0, True), (40, 112.9, False), (60, 114.0, False)):
        read(air, later(minute), temp_f=temp_f)
        assert bool(check(kiln, later(minute))) is is_open, temp_f
    assert Alarm.objects.get().closed_at == later(40)
    read(air, later(80), temp_f=116.0)
    check(kiln, later(80))
    assert Alarm.objects.count() == 2


def test_the_database_itself_keeps_one_open_alarm_of_a_kind(kiln):
    Alarm.objects.create(kiln=kiln, kind="frozen", level="caution", words="a", what_to_do="b")
    with pytest.raises(IntegrityError), transaction.atomic():
        Alarm.objects.create(kiln=kiln, kind="frozen", level="caution", words="a", what_to_do="b")


def test_one_bad_reading_opens_nothing(kiln, air):
    run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=110.0)
    Reading.objects.create(sensor=air.sensor, at=NOW + timedelta(seconds=20), temp_f=140.0)
    assert check(kiln, later(1)) == []


def test_while_a_sensor_is_silent_an_open_alarm_stays_as_it_is(kiln, air):
    run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=119.0)
    check(kiln)
    assert check(kiln, later(300)) == [("silent", "danger"), ("hot-wood", "caution")]


def test_a_layer_over_what_it_stands_is_told_with_or_without_a_run(yard):
    foam = SurfaceTold("roof", "roof", 40.0, (LayerTold(material_key="eps", thickness_in=4.0),))
    kiln = make_kiln("Foam", build=Build(surfaces=(foam,)))
    air = put(kiln, "air_in")
    read(air, temp_f=160.0)  # polystyrene stands 165 °F (ASTM C578)
    assert check(kiln) == []
    read(air, later(20), temp_f=180.0)
    assert check(kiln, later(20)) == [("hot-layer", "danger")]
    alarm = Alarm.objects.get()
    assert "165 °F" in alarm.words
    assert "roof" in alarm.about
    assert alarm.run is None
    read(air, later(40), temp_f=150.0)
    assert check(kiln, later(40)) == []


def test_a_fan_is_held_to_its_plate_and_an_unmarked_one_to_the_usual_rating(yard, kiln, air):
    read(air, temp_f=151.0)
    assert check(kiln) == [("hot-fan", "danger")]
    assert "stands 150 °F" in Alarm.objects.get().words
    unmarked = make_kiln("Unmarked", build=Build(BUILD.surfaces, (), (DeviceTold("fan", "Fan", 100.0),)))
    read(put(unmarked, "air_in"), temp_f=110.0)
    assert check(unmarked) == [("hot-fan", "caution")]
    assert "104 °F (memory high)" in alarms_of(unmarked)[0].words


def test_air_much_drier_than_the_step_is_told_and_air_a_little_drier_is_not(kiln, air):
    """At 110 °F, 45% RH is 7.7% EMC and 20% is 4.0% (Wood Handbook table 4-2, memory high): a step of 8.4%, 50% RH."""
    run_of(kiln, dry_bulb_f=110.0, emc_pct=8.4)
    read(air, temp_f=110.0, rh_pct=45.0)
    assert check(kiln) == []
    read(air, later(20), temp_f=110.0, rh_pct=20.0)
    assert check(kiln, later(20)) == [("too-dry", "danger")]
    assert Alarm.objects.get().value == pytest.approx(4.0, abs=0.1)
    assert "the step asks for 8.4%" in Alarm.objects.get().words


def test_too_dry_is_asked_only_while_the_wood_dries(kiln, air):
    run = run_of(kiln, dry_bulb_f=110.0, emc_pct=10.0)
    read(air, temp_f=110.0, rh_pct=30.0)
    assert check(kiln) == [("too-dry", "danger")]
    run.phases.update(phase=Phase.SANITISE)
    assert check(kiln, later(1)) == []


def test_a_rule_that_fails_silences_neither_the_others_nor_another_kiln(kiln, air, monkeypatch):
    run_of(kiln, dry_bulb_f=110.0)
    read(air, timezone.now(), temp_f=151.0)

    def fails(*_):
        raise KeyError("no such wood")

    monkeypatch.setattr(alarms, "RULES", (fails, *alarms.RULES))
    alarms_check_all()
    assert ("hot-fan", "danger") in kinds(kiln)


def sample_of(stack, *weights_lb):
    """A board of 10 lb oven-dry, weighed a day apart up to NOW."""
    cohort = stack.cohorts.get()
    sample = Sample.objects.create(name="A", cohort=cohort)
    OvenSection.objects.create(
        cohort=cohort, sample=sample, cut_at=NOW - timedelta(days=20), wet_lb=1.6, oven_dry_lb=1.0, mc_pct=60.0,
        sample_weight_lb=16.0, typed_value="16.00", typed_unit="lb",
    )  # fmt: skip
    for days_ago, weight_lb in zip(range(len(weights_lb) - 1, -1, -1), weights_lb, strict=True):
        Weighing.objects.create(sample=sample, weight_lb=weight_lb, made_at=NOW - timedelta(days=days_ago))
    return sample


def test_a_sample_that_dries_faster_than_is_safe_is_told(kiln):
    """8/4 upland northern red oak may lose 1.5% a day (FPL-GTR-118, memory high)."""
    stack = make_stack()
    run_of(kiln, stacks=[stack], began_at=NOW - timedelta(days=10))
    sample_of(stack, 15.0, 14.9)  # 50 to 49%: 1% a day
    assert check(kiln) == []
    Weighing.objects.create(sample=Sample.objects.get(), weight_lb=14.4, made_at=later(24 * 60))  # 5% in a day
    assert check(kiln, later(24 * 60)) == [("too-fast", "danger")]
    assert "Sample A dries too fast: 5.0% MC a day" in Alarm.objects.get().words


def test_dry_wood_may_lose_what_it_can(kiln):
    """Under 15% MC wood dries slower than its limit by itself (data/safe_rate_notes.csv)."""
    stack = make_stack()
    run_of(kiln, stacks=[stack], began_at=NOW - timedelta(days=10))
    sample_of(stack, 11.4, 10.9)
    assert check(kiln) == []


def test_without_samples_the_models_rate_counts(kiln):
    stack = make_stack()
    run_of(kiln, stacks=[stack])
    make_estimate(stack.cohorts.get(), mean_pct=40.0, rate_pct_day=1.7, safe_rate_pct_day=1.5)
    assert check(kiln) == [("too-fast", "caution")]
    assert "By the model" in Alarm.objects.get().words


def test_the_hold_is_told_when_every_probe_stood_hot_for_half_an_hour(kiln):
    probes = [put(kiln, "core", kind="core"), None]
    probes[1] = KilnSensor.objects.create(
        kiln=kiln, sensor=make_sensor("Second probe"), place="core", since=NOW - timedelta(days=1)
    )
    run_of(kiln, phase=Phase.SANITISE, began_at=NOW - timedelta(hours=2))
    for n in range(61):
        at = NOW - timedelta(minutes=60 - n)
        Reading.objects.create(sensor=probes[0].sensor, at=at, core_f=134.0)
        Reading.objects.create(sensor=probes[1].sensor, at=at, core_f=134.0 if n > 35 else 130.0)
    assert check(kiln) == [], "the second probe has stood hot for 24 min"
    for n in range(1, 8):
        for probe in probes:
            Reading.objects.create(sensor=probe.sensor, at=later(n), core_f=134.0)
    assert check(kiln, later(7)) == [("hold", "info")]
    alarm = Alarm.objects.get()
    assert "133 °F or more for 31 min" in alarm.words
    assert "not a certificate" in alarm.what_to_do


def hot_air(kiln, air, hours, temp_f=150.0):
    """So many hours of warm, then hot air up to NOW, the stack of 8/4 oak at 8% in it."""
    stack = make_stack()
    run = run_of(kiln, phase=Phase.SANITISE, began_at=NOW - timedelta(hours=hours), stacks=[stack])
    Run.objects.update(plan={"start_mc_pct": 8.0}, started_at=NOW - timedelta(days=20))
    for n in range(int((hours + 13) * 12)):
        at = NOW - timedelta(minutes=5 * n)
        warm = at >= run.started_at
        Reading.objects.create(sensor=air.sensor, at=at, temp_f=temp_f if warm else 90.0, rh_pct=40.0)


def test_without_a_probe_the_model_tells_the_hold_when_it_is_asked_slowly(kiln, air):
    """8/4 oak warms through well within a day of 150 °F (`kilns.physics.heating`, against published times)."""
    hot_air(kiln, air, hours=24)
    assert check(kiln) == [], "not at each reading"
    alarms_check(kiln=kiln, at=NOW, slowly=True)
    assert kinds(kiln) == [("hold", "info")]
    assert "No probe proves it" in Alarm.objects.get().words
    assert check(kiln, later(1)) == [("hold", "info")], "and it stays between"


def test_air_too_cool_for_the_core_reaches_no_hold_by_the_model(kiln, air):
    hot_air(kiln, air, hours=24, temp_f=131.0)
    alarms_check(kiln=kiln, at=NOW, slowly=True)
    assert kinds(kiln) == []


def test_condensate_is_full_when_the_pace_of_the_last_emptying_says_so(kiln):
    run = run_of(kiln, began_at=NOW - timedelta(hours=60))
    Condensate.objects.create(run=run, water_lb=20.0, made_at=NOW - timedelta(hours=36))
    Condensate.objects.create(run=run, water_lb=50.0, made_at=NOW - timedelta(hours=12))  # 50 lb in 24 h
    assert check(kiln) == []
    assert check(kiln, later(11 * 60)) == []
    assert check(kiln, later(13 * 60)) == [("condensate", "caution")]
    assert "50.00 lb came in 24 h" in Alarm.objects.get().words
    assert "at that pace on 2026-03-03 00:00" in Alarm.objects.get().words, "by the yard's clock, whoever looks"
    Condensate.objects.create(run=run, water_lb=52.0, made_at=later(14 * 60))
    assert check(kiln, later(14 * 60 + 1)) == []


def test_a_frozen_load_is_told_by_the_probe_and_quiet_when_it_has_thawed(kiln, air):
    core = put(kiln, "core")
    run_of(kiln, phase=Phase.WARM_UP)
    read(air, temp_f=70.0)
    read(core, core_f=25.0)
    assert check(kiln) == [("frozen", "caution")]
    assert "the core stands at 25 °F" in Alarm.objects.get().words
    read(core, later(20), core_f=32.5)
    read(air, later(20), temp_f=70.0)
    assert check(kiln, later(20)) == [("frozen", "caution")]
    read(core, later(40), core_f=35.0)
    assert check(kiln, later(40)) == []


def test_dry_wood_that_cools_in_winter_is_no_frozen_load(kiln, air):
    run_of(kiln, phase=Phase.COOL)
    read(air, temp_f=10.0)
    assert check(kiln) == []


def test_when_the_run_ends_its_alarms_end(kiln, air):
    run = run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=119.0)
    check(kiln)
    assert alarms_of(run)[0].run == run
    Run.objects.update(state=RunState.CLOSED, closed_at=later(1))
    assert check(kiln, later(2)) == []
    assert Alarm.objects.get().closed_at == later(2)


def test_a_look_back_goes_by_what_was_known_then(kiln, air):
    run_of(kiln, dry_bulb_f=110.0)
    read(air, temp_f=111.0)
    read(air, later(60), temp_f=130.0)
    assert check(kiln) == []


def test_the_bays_own_sensor_speaks_where_the_kiln_has_none(kiln):
    sensor = make_sensor("Of the bay")
    kiln.bay.air, kiln.bay.sensor = "sensor", sensor
    kiln.bay.save()
    for n in range(3):
        Reading.objects.create(sensor=sensor, at=timezone.now() - timedelta(minutes=n), temp_f=155.0)
    alarms_check_sensor(sensor)
    assert kinds(kiln) == [("hot-fan", "danger")]


def test_what_one_kiln_does_opens_nothing_in_another(kiln, air):
    other = make_kiln("Other", build=BUILD)
    run_of(other, dry_bulb_f=70.0)
    read(air, temp_f=151.0)
    alarms_check(kiln=kiln, at=NOW)
    assert kinds(kiln) == [("hot-fan", "danger")]
    assert kinds(other) == []
