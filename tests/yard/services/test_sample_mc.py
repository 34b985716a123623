"""What a sample's weights say once a section of it was dried in the oven."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.make import make_stack
from yard.services.moisture_records import moisture_record_void, oven_section_record
from yard.services.sample_mc import rounded_like, sample_dry_weight
from yard.services.samples import sample_add

CUT = datetime(2025, 3, 12, 15, tzinfo=UTC)


@pytest.fixture
def sample(yard):
    return sample_add(cohort=make_stack().cohorts.get(), name="A-3")


def cut(sample, mc=92.4, sample_lb=4.46, at=CUT, typed="4.46"):
    section, _ = oven_section_record(
        cohort=sample.cohort, sample=sample, wet_lb=1 + mc / 100, oven_dry_lb=1.0, sample_weight_lb=sample_lb,
        cut_at=at, by=None, typed_value=typed, typed_unit="lb",
    )  # fmt: skip
    return section


def test_the_handbooks_sample_has_its_oven_dry_weight_and_its_later_moisture(sample):
    # AH-188 worked example (memory high): 4.46 lb at 92.4% is 2.32 lb oven-dry; at 4.14 lb it is at 78.4%.
    cut(sample)
    dry = sample_dry_weight(sample)
    assert dry.oven_dry_lb == 2.32
    assert dry.mc_pct(4.14) == pytest.approx(78.4, abs=0.05)
    assert dry.working_mc(4.14).result == pytest.approx(78.4, abs=0.05)


def test_two_sections_of_one_day_count_by_their_mean(sample):
    # The same example with its two sections, 93.4 and 91.4%.
    cut(sample, mc=93.4)
    cut(sample, mc=91.4, at=CUT + timedelta(hours=1))
    dry = sample_dry_weight(sample)
    assert dry.section_mcs_pct == (93.4, 91.4)
    assert dry.oven_dry_lb == 2.32


def test_without_the_samples_own_weight_a_section_gives_no_oven_dry_weight(sample):
    oven_section_record(cohort=sample.cohort, sample=sample, wet_lb=2.0, oven_dry_lb=1.0, by=None, cut_at=CUT)
    assert sample_dry_weight(sample) is None


def test_a_voided_section_counts_no_more(sample):
    section = cut(sample)
    moisture_record_void(record=section, reason="wrong board", by=None)
    assert sample_dry_weight(sample) is None


def test_a_weight_under_the_oven_dry_weight_has_no_moisture_content(sample):
    cut(sample)
    assert sample_dry_weight(sample).mc_pct(2.0) is None
    assert sample_dry_weight(sample).working_mc(2.0) is None


@pytest.mark.parametrize(
    ("weight_lb", "typed", "unit", "rounded_lb"),
    [
        (2.3181, "4.46", "lb", 2.32),
        (2.3181, "4.460", "lb", 2.318),
        (7.2765, "14", "lb", 7.28),
        (145.61, "280", "lb", 146),
        (2.3181, "2023", "g", 1051 / 453.59237),
        (2.3181, "2,023", "kg", 1.051 / 0.45359237),
        (2.3181, "", "", 2.32),
    ],
)
def test_it_is_rounded_to_the_last_place_of_the_scale_but_never_roughly(weight_lb, typed, unit, rounded_lb):
    assert rounded_like(weight_lb, typed, unit) == pytest.approx(rounded_lb, rel=1e-9)
