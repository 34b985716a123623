"""The clock of heat in the core: by probes as they measured, by the model on the measured air, or not at all."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from kilns.models import KilnSensor, Treatment
from kilns.physics.treatments import heat_treatment
from kilns.services.core_hold import Piece, hold_now, model_hold, probe_hold, slowest_piece
from kilns.services.run_sensors import run_sensors, run_span
from kilns.services.treatments import treatment_change, treatment_keep_model, treatment_keep_probe
from tests.kilns.make import BEGAN, go_on, make_kiln, make_kiln_sensor, make_running, read_every
from tests.make import make_slab
from yard.models import History
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.wood.ranges import OutsideRange

ISPM = heat_treatment("ispm-15")
HEAT, END = BEGAN + timedelta(days=20), BEGAN + timedelta(days=21)
DRY = Piece("oak-northern-red", 2.125, 17.0, 8.0, "ST-1, the widest")
WET = Piece("oak-northern-red", 2.125, 17.0, 45.0, "the wettest")


@pytest.fixture
def run(yard):
    return make_running(kiln=make_kiln())


def sensors(run):
    return run_sensors(run, run_span(run))


def probe_of(run, name="Probe", **values):
    sensor = make_kiln_sensor(run.kiln, "core", name, kind="core")
    read_every(sensor, HEAT, END, **values)
    return sensor


def plateau(minutes, high=134.0, low=120.0):
    """Hot for so many minutes from the second hour on."""
    return lambda gone: high if 120 <= gone <= 120 + minutes else low


def test_a_probe_proves_the_heat_when_it_was_hot_for_long_enough(run):
    probe_of(run, core_f=plateau(40))
    hold = probe_hold(sensors(run), HEAT, END, ISPM)
    (probe,) = hold.probes
    assert (probe.longest_min, hold.proved) == (40.0, True)
    assert (probe.began_at, probe.proved_at) == (HEAT + timedelta(minutes=120), HEAT + timedelta(minutes=150))
    assert probe.lowest_held_f == 134.0


def test_the_slowest_of_several_probes_decides(run):
    probe_of(run, "Edge", core_f=plateau(60))
    probe_of(run, "Middle", core_f=plateau(20))
    hold = probe_hold(sensors(run), HEAT, END, ISPM)
    assert (hold.slowest.name, hold.proved) == ("Middle", False)
    with pytest.raises(ValidationError, match="Middle was at 133 °F for 20 minutes without a break; 30 are needed"):
        treatment_keep_probe(run=run, hold=hold, slowest="all", by=None)


def test_half_a_degree_too_cold_or_a_break_does_not_count(run):
    probe_of(run, core_f=lambda gone: 132.9 if 120 <= gone <= 200 else 125.0)
    assert not probe_hold(sensors(run), HEAT, END, ISPM).proved
    probe_of(run, "Broken", core_f=lambda gone: 134.0 if gone % 40 < 20 else 132.0)
    broken = next(one for one in probe_hold(sensors(run), HEAT, END, ISPM).probes if one.name == "Broken")
    assert broken.longest_min == 10.0  # read every ten minutes: two hot ones, then a cool one


def test_the_clock_of_the_run_counts_in_the_sanitising_phase_alone(run):
    probe_of(run, core_f=plateau(40))
    phases = list(run.phases.all())
    assert hold_now(phases, sensors(run), END) is None
    go_on(run, "sanitise", 1, HEAT + timedelta(hours=3))
    hold = hold_now(list(run.phases.all()), sensors(run), END)
    assert (hold.since, hold.proved) == (HEAT + timedelta(hours=3), False)  # the hot stretch was before


def test_dry_wood_is_followed_through_the_measured_air(run):
    air = make_kiln_sensor(run.kiln)
    read_every(air, HEAT - timedelta(hours=12), END, temp_f=lambda gone: 118.0 if gone < 720 else 150.0, rh_pct=30.0)
    hold = model_hold(sensors(run), HEAT, END, ISPM, DRY)
    assert hold.history.proved
    assert hold.lowest_held_f >= 133.0
    # in 150 °F air the core of 2 1/8 in oak needs hours, not minutes: the film and the wood are in between
    assert timedelta(hours=1) < hold.proved_at - HEAT < timedelta(hours=12)


def test_air_that_is_not_hot_enough_proves_nothing(run):
    air = make_kiln_sensor(run.kiln)
    read_every(air, HEAT, END, temp_f=131.0, rh_pct=30.0)
    hold = model_hold(sensors(run), HEAT, END, ISPM, DRY, start_f=118.0)
    assert not hold.history.proved
    with pytest.raises(ValidationError, match="30 are needed"):
        treatment_keep_model(run=run, treatment=ISPM, hold=hold, by=None)


def test_wet_wood_under_a_low_wet_bulb_is_left_to_a_probe(run):
    air = make_kiln_sensor(run.kiln)
    read_every(air, HEAT, END, temp_f=150.0, rh_pct=40.0)  # the wet bulb is near 119 °F
    hold = model_hold(sensors(run), HEAT, END, ISPM, WET, start_f=110.0)
    assert hold.history.needs_probe
    with pytest.raises(ValidationError, match="only a probe in the core can tell"):
        treatment_keep_model(run=run, treatment=ISPM, hold=hold, by=None)


def test_hot_air_proves_nothing_of_wood_of_which_nobody_knows_how_cold_it_came_in(run):
    """A sensor put in with the heat, or a load put into a hot kiln: the air is hot from the first reading on."""
    air = make_kiln_sensor(run.kiln)
    read_every(air, HEAT, END, temp_f=150.0, rh_pct=30.0)
    with pytest.raises(OutsideRange, match="Say how warm the wood was at the start"):
        model_hold(sensors(run), HEAT, END, ISPM, DRY)
    read_every(air, HEAT - timedelta(hours=12), HEAT, temp_f=150.0, rh_pct=30.0)
    with pytest.raises(OutsideRange, match="Say how warm the wood was at the start"):
        model_hold(sensors(run), HEAT, END, ISPM, DRY, loaded_at=HEAT - timedelta(hours=1))
    told = model_hold(sensors(run), HEAT, END, ISPM, DRY, start_f=20.0)
    assert told.proved_at - HEAT > timedelta(hours=1)


def test_what_a_sensor_measured_elsewhere_proves_nothing_here(run):
    """The probe came into the wood an hour before the end; before, it hung in hot air or in another kiln."""
    probe = probe_of(run, core_f=140.0)
    KilnSensor.objects.filter(sensor=probe).update(since=END - timedelta(minutes=20))
    assert not probe_hold(sensors(run), HEAT, END, ISPM).proved
    KilnSensor.objects.filter(sensor=probe).update(since=HEAT, until=HEAT + timedelta(minutes=20))
    assert not probe_hold(sensors(run), HEAT, END, ISPM).proved


def test_a_probe_read_too_seldom_says_so_and_a_silent_one_is_named(run):
    make_kiln_sensor(run.kiln, "core", "Dead probe", kind="core")
    sensor = make_kiln_sensor(run.kiln, "core", "Slow probe", kind="core")
    read_every(sensor, HEAT, END, minutes=20, core_f=140.0)
    hold = probe_hold(sensors(run), HEAT, END, ISPM)
    assert (hold.slowest.longest_min, hold.unread) == (0.0, ("Dead probe",))
    assert "Nothing was read for 20 min" in hold.slowest.gaps
    with pytest.raises(ValidationError, match="such minutes do not count"):
        treatment_keep_probe(run=run, hold=hold, slowest="all", by=None)


def test_of_two_sensors_of_the_air_the_colder_one_is_followed_and_a_replaced_one_is_left(run):
    hot, cold = make_kiln_sensor(run.kiln), make_kiln_sensor(run.kiln)
    gone = make_kiln_sensor(run.kiln)
    KilnSensor.objects.filter(sensor=gone).update(until=HEAT)
    for sensor, temp_f in ((hot, 150.0), (cold, 130.0), (gone, 60.0)):
        read_every(sensor, HEAT, END, temp_f=temp_f, rh_pct=30.0)
    assert model_hold(sensors(run), HEAT, END, ISPM, DRY, start_f=118.0).hottest_air_f == 130.0


def test_without_readings_of_the_air_no_time_is_given(run):
    make_kiln_sensor(run.kiln)
    with pytest.raises(OutsideRange, match="readings of the kiln's air"):
        model_hold(sensors(run), HEAT, END, ISPM, DRY)


def test_the_thickest_and_widest_slab_is_the_slowest_piece(yard):
    thin, wide = make_slab("THIN", thickness_in=1.125, quarters=4), make_slab("WIDE", widths_in=[24.0, 24.0, 24.0])
    piece = slowest_piece([thin, wide], 9.0)
    assert (piece.thickness_in, piece.width_in, piece.mc_pct) == (2.125, 24.0, 9.0)
    assert piece.words.startswith("WIDE")
    assert slowest_piece([], 9.0) is None


def test_a_record_keeps_what_was_shown_and_its_words_are_changed_with_history(run, owner):
    probe_of(run, core_f=plateau(40))
    kept = treatment_keep_probe(
        run=run, hold=probe_hold(sensors(run), HEAT, END, ISPM), slowest="thickest, middle course", by=owner
    )
    assert (kept.proved_by, kept.hold_min, kept.lowest_core_f, kept.core_f) == ("probe", 40.0, 134.0, 133.0)
    changed = treatment_change(treatment=kept, by=owner, version=1, slowest="A-4, course 3")
    assert (changed.slowest, changed.version) == ("A-4, course 3", 2)
    line = History.objects.get(table="treatment", action="changed")
    assert line.changes["slowest"] == ["thickest, middle course", "A-4, course 3"]
    again = treatment_keep_probe(run=run, hold=probe_hold(sensors(run), HEAT, END, ISPM), slowest="twice", by=owner)
    assert again.pk == kept.pk
    with pytest.raises(ChangedMeanwhile):
        treatment_change(treatment=kept, by=owner, version=1, slowest="other")
    with pytest.raises(TypeError):
        treatment_change(treatment=kept, by=owner, version=2, hold_min=99)
    assert Treatment.objects.get().hold_min == 40.0
