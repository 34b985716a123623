"""Oven sections and meter readings: what is kept, what counts, what the sample learns from a section."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest

from tests.make import make_stack
from yard.models import Cohort, MeterReading, OvenSection, Sample, Weighing
from yard.services.moisture_records import (
    meter_judge,
    meter_reading_record,
    moisture_record_void,
    oven_section_record,
)
from yard.services.samples import sample_add
from yard.services.weighings import weighing_record
from yard.wood.ranges import OutsideRange

CUT = datetime(2025, 3, 12, 15, tzinfo=UTC)


@pytest.fixture
def cohort(yard):
    return make_stack().cohorts.get()


def test_a_section_gives_the_moisture_of_its_day_and_makes_the_estimate_out_of_date(cohort):
    Cohort.objects.update(stale_since=None)
    section, new = oven_section_record(cohort=cohort, wet_lb=1.5, oven_dry_lb=1.0, by=None, cut_at=CUT)
    assert (new, section.mc_pct) == (True, 50.0)
    assert Cohort.objects.get().stale_since is not None


def test_a_section_drier_than_its_oven_dry_weight_is_refused_and_nothing_is_kept(cohort):
    with pytest.raises(OutsideRange, match="no wood is lighter than its own oven-dry weight"):
        oven_section_record(cohort=cohort, wet_lb=0.9, oven_dry_lb=1.0, by=None)
    assert not OvenSection.objects.exists()


def test_the_samples_weight_at_the_cut_is_its_first_weighing_and_comes_once(cohort):
    sample, key = sample_add(cohort=cohort, name="A-3"), uuid.uuid4()
    for _ in range(2):
        oven_section_record(
            cohort=cohort, sample=sample, wet_lb=1.9, oven_dry_lb=1.0, sample_weight_lb=4.46, by=None, cut_at=CUT,
            client_key=key,
        )  # fmt: skip
    weighing = Weighing.objects.get()
    assert (weighing.weight_lb, weighing.made_at, weighing.sample) == (4.46, CUT, sample)
    assert OvenSection.objects.count() == 1


def test_a_section_cut_from_a_weighed_sample_begins_its_weights_anew(cohort):
    sample = sample_add(cohort=cohort, name="A-3")
    weighing_record(sample=sample, weight_lb=6.1, by=None, made_at=CUT - timedelta(days=20))
    key = uuid.uuid4()
    for _ in range(2):
        section, _new = oven_section_record(
            cohort=cohort, sample=sample, wet_lb=1.5, oven_dry_lb=1.0, sample_weight_lb=4.46, by=None, cut_at=CUT,
            client_key=key,
        )  # fmt: skip
    fresh = Sample.objects.get(retired_at__isnull=True)
    assert fresh != sample
    assert section.sample == fresh
    assert [one.weight_lb for one in fresh.weighings.all()] == [4.46]
    assert [one.weight_lb for one in sample.weighings.all()] == [6.1]


def test_a_usable_reading_is_corrected_for_the_woods_temperature(cohort):
    cold, _ = meter_reading_record(cohort=cohort, reading_pct=15.0, wood_temp_f=40.0, depth_in=0.5, by=None)
    plain, _ = meter_reading_record(cohort=cohort, reading_pct=15.0, by=None)
    assert cold.usable
    assert cold.corrected_pct > 15.0, "cold wood reads too dry"
    assert plain.corrected_pct == 15.0


@pytest.mark.parametrize("reading", [60.0, 5.0, 28.5])
def test_a_reading_that_pins_cannot_tell_is_kept_without_weight_and_says_why(cohort, reading):
    kept, _ = meter_reading_record(cohort=cohort, reading_pct=reading, by=None)
    assert (kept.usable, kept.corrected_pct) == (False, None)
    assert "outside 7 to 28%" in kept.why_unusable
    assert MeterReading.objects.get() == kept


def test_a_reading_that_no_meter_shows_is_refused():
    with pytest.raises(OutsideRange):
        meter_judge(130.0, None)
    with pytest.raises(OutsideRange):
        meter_judge(-1.0, 70.0)


def test_voiding_makes_the_estimate_out_of_date(cohort):
    reading, _ = meter_reading_record(cohort=cohort, reading_pct=15.0, by=None)
    Cohort.objects.update(stale_since=None)
    moisture_record_void(record=reading, reason="wrong species set", by=None)
    assert Cohort.objects.get().stale_since is not None
