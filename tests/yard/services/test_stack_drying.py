"""The drying of a stack's woods: chart data, the same as a table and in words, records and the working."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from tests.make import make_bay, make_estimate, make_slab, make_stack
from yard.models import EstimateTarget
from yard.services.cohort_records import cohort_records
from yard.services.drying_curve import curve_data, curve_rows, curve_words, target_words
from yard.services.drying_path import drying_path
from yard.services.estimate_working import estimate_working
from yard.services.estimates import estimates_refresh
from yard.services.moisture_records import meter_reading_record, moisture_record_void, oven_section_record
from yard.services.samples import sample_add
from yard.services.stack_drying import cohort_drying, stack_drying
from yard.services.stacks import stack_restack
from yard.services.weighings import stack_weighing_record, weighing_record, weighing_void

START = date(2025, 10, 1)
AT = datetime(2025, 10, 1, 15, tzinfo=UTC)


def a_path(days=100, ahead=120, frozen=range(60, 80)):
    mid = [80.0 - 0.5 * n for n in range(days + ahead)]
    return {
        "first": START.isoformat(), "now": days, "mid": mid, "low": [m - 3 for m in mid], "high": [m + 3 for m in mid],
        "emc": [13.0] * (days + ahead), "frozen": [int(n in frozen) for n in range(days + ahead)],
        "air_from": ["file"] * days, "bays": ["Row"] * days,
    }  # fmt: skip


@pytest.fixture
def cohort(yard):
    slabs = [make_slab(tag="W-1", sawn_on=START), make_slab(tag="W-2", sawn_on=START)]
    cohort = make_stack(tag="ST-9", slabs=slabs, at=AT).cohorts.get()
    make_estimate(cohort, mean_pct=30.0, path=a_path(), as_of=START + timedelta(days=100), ready_on=date(2026, 2, 1))
    return cohort


def test_the_path_tells_any_day_and_nothing_outside_it(cohort):
    path = drying_path(cohort.estimate)
    assert path.mid_on(START) == 80.0
    assert path.mid_on(START + timedelta(days=100)) == 30.0
    assert path.mid_on(START - timedelta(days=1)) is None
    assert path.mid_on(path.last + timedelta(days=1)) is None
    assert path.frozen_spells() == [(START + timedelta(days=60), START + timedelta(days=79))]
    assert drying_path(None) is None


def test_a_samples_weights_are_marks_by_its_own_dry_weight_or_by_the_estimate_at_its_first_weighing(cohort):
    own, other = sample_add(cohort=cohort, name="A"), sample_add(cohort=cohort, name="B")
    oven_section_record(
        cohort=cohort, sample=own, wet_lb=1.8, oven_dry_lb=1.0, sample_weight_lb=9.0, by=None, cut_at=AT,
        typed_value="9.00", typed_unit="lb",
    )  # fmt: skip
    later = AT + timedelta(days=50)
    weighing_record(sample=own, weight_lb=7.5, by=None, made_at=later)
    weighing_record(sample=other, weight_lb=18.0, by=None, made_at=AT)
    weighing_record(sample=other, weight_lb=15.0, by=None, made_at=later)
    path = drying_path(cohort.estimate)
    records = cohort_records(cohort, [cohort], path)
    lines = {(line.name, line.day): line for line in records.lines}
    by_own = lines["A", later.date()]
    assert (by_own.mc_pct, by_own.by_own) == (pytest.approx(50.0), True)  # 100 (7.5 / 5.00 - 1)
    scaled = lines["B", later.date()]
    assert (scaled.mc_pct, scaled.by_own) == (pytest.approx(50.0), False)  # 180 x 15/18 - 100
    marks = curve_data(path, [], records, None)["marks"]
    assert {(mark["name"], mark["symbol"]) for mark in marks} == {
        ("Oven section", "square"), ("Sample A", "circle"), ("Sample B", "triangle-up"),
    }  # fmt: skip


def test_what_is_voided_or_counts_for_nothing_stays_listed_without_a_mark(cohort):
    sample = sample_add(cohort=cohort, name="A")
    weighing, _ = weighing_record(sample=sample, weight_lb=9.0, by=None, made_at=AT)
    weighing_void(weighing=weighing, reason="wrong board", by=None)
    meter_reading_record(cohort=cohort, reading_pct=60.0, depth_in=0.5, by=None, made_at=AT)
    section, _ = oven_section_record(cohort=cohort, wet_lb=1.8, oven_dry_lb=1.0, by=None, cut_at=AT)
    moisture_record_void(record=section, reason="burnt", by=None)
    stack_weighing_record(stack=cohort.stack, weight_lb=200.0, by=None, made_at=AT)
    records = cohort_records(cohort, [cohort], drying_path(cohort.estimate))
    assert len(records.lines) == 4
    assert records.counted == 1
    assert [line.mc_pct for line in records.lines] == [None] * 4
    assert {line.void_reason for line in records.lines if line.voided} == {"wrong board", "burnt"}
    assert any("outside 7 to 28%" in line.aside for line in records.lines)


def test_the_records_of_an_earlier_stack_belong_to_the_wood(cohort):
    sample = sample_add(cohort=cohort, name="A")
    weighing_record(sample=sample, weight_lb=9.0, by=None, made_at=AT)
    new = stack_restack(
        tag="NEW", slabs=list(cohort.slabs_now.all()), bay=make_bay(), at=AT + timedelta(days=20), by=None
    )  # fmt: skip
    drying = cohort_drying(new.cohorts.get())
    assert [line.name for line in drying.records.lines] == ["A"]


def test_the_curve_ends_a_while_after_the_latest_date_and_shows_targets_still_ahead(cohort):
    estimate = cohort.estimate
    own = estimate.targets.get()
    EstimateTarget.objects.create(estimate=estimate, target_mc_pct=25.0, mid_on=date(2026, 1, 20))
    EstimateTarget.objects.create(estimate=estimate, target_mc_pct=30.0, reached_now=0.95)
    EstimateTarget.objects.create(estimate=estimate, target_mc_pct=15.0, mid_on=date(2026, 3, 1))
    path = drying_path(estimate)
    data = curve_data(path, list(estimate.targets.all()), cohort_records(cohort, [cohort], path), own)
    assert sorted(one["pct"] for one in data["targets"]) == [20.0, 25.0]
    assert len(data["mid"]) == 100 + 90 + 1, "ninety days ahead at the least"
    assert data["frozen"] == [[(START + timedelta(days=60)).isoformat(), (START + timedelta(days=80)).isoformat()]]


def test_the_table_and_the_words_say_what_the_curve_shows(cohort):
    own, path = cohort.estimate.targets.get(), drying_path(cohort.estimate)
    rows = curve_rows(path, own)
    assert [row.when for row in rows].count("now") == 1
    assert {row.day for row in rows} >= {START, START + timedelta(days=100)}
    assert all(row.low_pct < row.mid_pct < row.high_pct for row in rows)
    words = " ".join(curve_words(cohort, cohort.estimate, path, own))
    for part in ("From about 80% on 1 Oct 2025", "28.0% and 32%", "13.0%", "20% about 1 Feb 2026", "frozen on 20 days"):
        assert part in words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"reached_now": 0.95}, "20% is reached: 95% sure."),
        ({"reached_now": 1.0}, "20% is reached: over 99% sure."),
        ({"mid_on": None, "reason": "Not reached by 2028."}, "20%: Not reached by 2028."),
        ({"mid_on": None}, "20% is not in sight."),
        (
            {"mid_on": date(2026, 5, 1), "low_on": date(2026, 4, 1), "high_on": date(2026, 6, 1)},
            "20% about 1 May 2026, between 1 Apr 2026 and 1 Jun 2026 8 times in 10.",
        ),
        (
            {"mid_on": date(2026, 5, 1), "low_on": date(2026, 4, 1)},
            "20% about 1 May 2026, 1 Apr 2026 at the earliest; no latest date is in sight.",
        ),
        (
            {"mid_on": date(2026, 5, 1), "low_on": date(2026, 4, 1), "high_on": date(2026, 6, 1), "reached_now": 0.3},
            "20% about 1 May 2026, perhaps already (30%), between 1 Apr 2026 and 1 Jun 2026 8 times in 10.",
        ),
    ],
)
def test_a_target_is_said_as_it_stands(fields, words):
    assert target_words(EstimateTarget(target_mc_pct=20.0, **fields)) == words


def test_a_stack_of_two_woods_shows_the_one_that_was_asked_for(yard):
    slabs = [make_slab(sawn_on=START), make_slab(sawn_on=START, species_key="walnut-black")]
    stack = make_stack(slabs=slabs, at=AT)
    cohorts = list(stack.cohorts.order_by("pk"))
    assert stack_drying(stack, cohorts).chosen.cohort == cohorts[0]
    assert stack_drying(stack, cohorts, str(cohorts[1].pk)).chosen.cohort == cohorts[1]
    assert stack_drying(stack, cohorts, "nonsense").chosen.cohort == cohorts[0]
    assert stack_drying(stack, []).chosen is None


def test_a_wood_without_an_estimate_still_shows_its_records(yard):
    cohort = make_stack().cohorts.get()
    weighing_record(sample=sample_add(cohort=cohort, name="A"), weight_lb=9.0, by=None)
    drying = cohort_drying(cohort)
    assert drying.curve is None
    assert drying.narrowing == []
    assert [line.mc_pct for line in drying.records.lines] == [None]


def test_the_working_shows_what_went_in_and_what_the_observations_made_of_it(yard):
    day = timezone.localdate() - timedelta(days=60)
    cohort = make_stack(slabs=[make_slab(sawn_on=day)], at=timezone.now() - timedelta(days=59)).cohorts.get()
    oven_section_record(cohort=cohort, wet_lb=1.6, oven_dry_lb=1.0, by=None, cut_at=timezone.now() - timedelta(days=30))
    meter_reading_record(cohort=cohort, reading_pct=60.0, depth_in=0.5, by=None)
    estimate = estimates_refresh(cohort_ids=[cohort.pk], because="a test")[0]
    shown = estimate_working(estimate)
    assert [spread for _words, spread in shown.observations] == ["± 2% MC"]
    assert any("meter reading" in words for words in shown.left_aside)
    lines = {line.name: line for line in shown.lines}
    assert lines["Wood"].before == "northern red oak"
    assert lines["MC at the start"].before == "80.0 ± 10.0%"
    assert lines["Diffusion D20 (20 °C)"].before != lines["Diffusion D20 (20 °C)"].after
    assert "× or ÷ 1.49" in lines["Diffusion D20 (20 °C)"].before  # a spread of 0.4 in the logarithm
    assert any("Simpson" in text for text, _provenance in shown.sources)
