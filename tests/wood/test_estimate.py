"""What the estimate must do with measurements, and what it must not."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.wood.twins import estimate as estimate_twin
from tests.wood.twins import make_twin, observe
from yard.wood.drying import air
from yard.wood.estimate import (
    CondensateCaught,
    FutureAir,
    OvenSection,
    PinReading,
    StackWeighing,
    WeighingRatio,
    estimate_cohort,
)
from yard.wood.ranges import OutsideRange

START = date(2025, 4, 1)
STEADY = FutureAir(np.full((4, 900), 68.0), np.full((4, 900), 12.0))


def make_estimate(days=60, observations=(), **changes):
    given_ = {
        "species": "oak-northern-red", "thickness_in": 2.0, "start_date": START,
        "air": air([62.0] * days, emc_pct=13.0), "observations": list(observations),
        "targets_mc_pct": (20.0,), "future_air": STEADY, "members": 1024,
    }  # fmt: skip
    return estimate_cohort(**(given_ | changes))


def on(day):
    return START + timedelta(days=day)


def width(interval):
    return interval.high - interval.low


def test_without_measurements_the_published_times_speak():
    found = make_estimate()
    assert found.as_of == on(60)
    assert found.reasons[0].startswith("Nothing measured yet")
    assert found.shell.value < found.mean.value < found.core.value
    assert found.ready[0].earliest < found.ready[0].likely < found.ready[0].latest


def test_the_same_input_gives_the_same_estimate():
    assert make_estimate(observations=[OvenSection(on(60), 60.0)]) == make_estimate(
        observations=[OvenSection(on(60), 60.0)]
    )


def test_another_seed_gives_nearly_the_same_estimate():
    first, second = (make_estimate(observations=[OvenSection(on(60), 60.0)], seed=seed) for seed in (0, 1))
    assert first.mean.value == pytest.approx(second.mean.value, abs=0.5)
    assert abs((first.ready[0].likely - second.ready[0].likely).days) <= 12


def test_an_oven_section_today_pins_the_mean_to_within_its_spread():
    found = make_estimate(observations=[OvenSection(on(60), 55.0)])
    assert found.mean.value == pytest.approx(55.0, abs=1.5)
    assert width(found.mean) < 2 * 1.2816 * 2.0 + 0.5


def test_weighings_alone_ask_for_a_section_or_a_reading():
    weighed = make_estimate(observations=[WeighingRatio(on(30), START, 0.93), WeighingRatio(on(60), START, 0.89)])
    assert any("Weighings alone do not fix MC" in line for line in weighed.reasons)
    both = make_estimate(observations=[OvenSection(START, 78.0), WeighingRatio(on(60), START, 0.89)])
    assert not any("Weighings alone" in line for line in both.reasons)
    assert width(both.mean) < width(weighed.mean)


def test_a_weighing_and_a_start_section_give_the_mc_that_arithmetic_gives():
    found = make_estimate(observations=[OvenSection(START, 80.0, 0.3), WeighingRatio(on(60), START, 0.85, sd=0.001)])
    assert found.mean.value == pytest.approx(1.80 * 0.85 * 100 - 100, abs=1.0)


def test_a_wet_meter_reading_is_kept_but_carries_no_weight():
    reading = PinReading(on(60), 0.44, 45.0)
    found = make_estimate(observations=[reading])
    assert found.mean == make_estimate().mean
    assert found.ignored[0][0] is reading
    assert any("kept but not used" in line for line in found.reasons)


@pytest.mark.parametrize(("reading", "used"), [(6.9, False), (7.1, True), (27.9, True), (28.1, False)])
def test_a_pin_reading_counts_from_7_to_28_percent_only(reading, used):
    found = make_estimate(420, [PinReading(on(420), 0.44, reading)])
    assert (found.ignored == ()) is used


def test_a_dry_meter_reading_moves_the_estimate_towards_it():
    days = 420
    before = make_estimate(days)
    reading = before.mean.value - 6.0
    assert 7 < reading < 28
    after = make_estimate(days, [PinReading(on(days), 0.44, reading)])
    assert after.mean.value < before.mean.value - 2.0
    assert width(after.mean) < width(before.mean)


def test_stack_weighings_count_for_less_than_sample_weighings():
    sample = make_estimate(observations=[OvenSection(START, 80.0), WeighingRatio(on(60), START, 0.87)])
    stack = make_estimate(observations=[OvenSection(START, 80.0), StackWeighing(on(60), START, 0.87)])
    assert width(sample.mean) < width(stack.mean)


def test_caught_water_is_a_lower_bound_on_the_loss():
    little = make_estimate(observations=[CondensateCaught(START, on(60), 5.0, 1000.0)])
    much = make_estimate(observations=[CondensateCaught(START, on(60), 350.0, 1000.0)])
    assert little.mean.value == pytest.approx(make_estimate().mean.value, abs=0.2)
    loss = [found.path.median_pct[0] - found.path.median_pct[60] for found in (little, much)]
    assert loss[0] < 31.0 < 33.0 < loss[1]


def _wild(days=160):
    steady = [WeighingRatio(on(d), START, 1 - 0.0012 * d) for d in (20, 40, 60, 80, 100, 120, 140)]
    slip = WeighingRatio(on(days), START, 1.15)
    return steady, slip


def test_one_wrong_weighing_is_named_and_does_not_sink_the_rest():
    steady, slip = _wild()
    clean, dirty = (
        make_estimate(160, [OvenSection(START, 80.0), *steady]),
        make_estimate(160, [OvenSection(START, 80.0), *steady, slip]),
    )
    assert dirty.mean.value == pytest.approx(clean.mean.value, abs=1.5)
    assert [one.observation for one in dirty.conflicts] == [slip]
    assert "heavier" in dirty.conflicts[0].words
    assert dirty.effective_sample_size >= 100
    assert clean.conflicts == ()


def test_weighings_that_scatter_widen_the_interval_and_say_so():
    random = np.random.default_rng(5)
    days = range(10, 160, 10)
    calm = [WeighingRatio(on(d), START, 0.8 + 0.2 * np.exp(-d / 120) + 0.003 * random.standard_normal()) for d in days]
    shaky = [replace(one, ratio=one.ratio + 0.05 * random.standard_normal()) for one in calm]
    section = OvenSection(START, 80.0)
    quiet, noisy = make_estimate(160, [section, *calm]), make_estimate(160, [section, *shaky])
    assert not any("scatter" in line for line in quiet.reasons)
    assert any("scatter" in line for line in noisy.reasons)
    assert width(noisy.mean) > width(quiet.mean)


def test_many_weighings_draw_the_ensemble_anew_and_enough_members_count():
    twin = make_twin(69)
    found = estimate_twin(twin, observe(twin, oven=True, weighings=True))
    assert found.effective_sample_size >= 100
    assert found.mean.low - 3 <= twin.truth(180) <= found.mean.high + 3


def test_a_target_that_is_there_says_so():
    found = make_estimate(900, [OvenSection(on(900), 15.0)])
    assert found.ready[0].state == "there"
    assert found.ready[0].likely == found.as_of
    assert found.narrowing == ()


def test_a_target_that_the_air_never_gives_is_out_of_reach_and_says_why():
    found = make_estimate(targets_mc_pct=(8.0,))
    assert found.ready[0].state == "out of reach"
    assert found.ready[0].likely is None
    assert "kiln" in found.ready[0].words


def test_a_horizon_too_short_is_no_promise():
    near = FutureAir(np.full((4, 30), 68.0), np.full((4, 30), 12.0))
    found = make_estimate(future_air=near)
    assert found.ready[0].state == "out of reach"
    assert found.ready[0].horizon == on(90)
    assert "as far ahead as was looked" in found.ready[0].words


def test_the_ready_date_is_when_the_same_air_brings_the_typical_board_there():
    """In steady air with everything known, the middle date is that of the plain model."""
    from yard.wood.drying import dry
    from yard.wood.priors import Belief, starting_prior

    sure = starting_prior("oak-northern-red")
    sure = replace(
        sure, ln_d=Belief(sure.ln_d.mean, 0.01), ln_s=Belief(sure.ln_s.mean, 0.01),
        start_mc_pct=Belief(80.0, 0.1), emc_offset_pct=Belief(0.0, 0.01),
    )  # fmt: skip
    found = make_estimate(prior=sure)
    plain = dry("oak-northern-red", 2.0, air([62.0] * 60, emc_pct=13.0).then(air([68.0] * 900, emc_pct=12.0)))
    expected = START + timedelta(days=int(np.ceil(plain.days_to(20.0))))
    assert abs((found.ready[0].likely - expected).days) <= 2
    assert found.mean.value == pytest.approx(plain.mean_pct[60], abs=0.1)


def test_the_path_runs_from_the_start_past_today_without_a_break():
    found = make_estimate(90, [OvenSection(START, 80.0)])
    path = found.path
    assert path.dates[0] == START
    assert path.dates[path.days_past] == found.as_of
    assert all((later - earlier).days == 1 for earlier, later in zip(path.dates, path.dates[1:], strict=False))
    lengths = {
        len(column) for column in (path.dates, path.low_pct, path.median_pct, path.high_pct, path.emc_pct, path.frozen)
    }
    assert len(lengths) == 1
    assert np.abs(np.diff(path.median_pct)).max() < 3.0
    assert path.median_pct[path.days_past] == pytest.approx(found.mean.value, abs=0.6)
    assert path.dates[-1] >= found.ready[0].latest


def test_frozen_days_are_marked_on_the_path():
    cold = air([20.0] * 10 + [60.0] * 10, emc_pct=14.0)
    found = make_estimate(air=cold)
    assert found.path.frozen[:20] == (True,) * 10 + (False,) * 10
    assert any("below freezing on 10 of 20 days" in line for line in found.reasons)


def test_hourly_kiln_air_after_yard_air_is_followed():
    kiln = air([120.0] * 240, emc_pct=5.0, step_days=1 / 24)
    yard = air([62.0] * 300, emc_pct=13.0)
    found = make_estimate(
        air=yard.then(kiln),
        thickness_in=1.0,
        future_air=FutureAir(np.full((1, 60), 120.0), np.full((1, 60), 5.0)),
        targets_mc_pct=(8.0,),
    )
    outdoors = make_estimate(air=yard, thickness_in=1.0)
    assert found.as_of == on(310)
    assert found.mean.value < outdoors.mean.value - 2.0
    assert len(found.path.emc_pct) >= 310
    assert found.path.emc_pct[305] == pytest.approx(5.0)


def test_a_weighing_with_its_hour_is_taken_at_that_hour():
    first = datetime(2025, 4, 1, 8)
    at_noon = WeighingRatio(datetime(2025, 4, 20, 12), first, 0.9)
    found = make_estimate(observations=[at_noon, OvenSection(START, 80.0)])
    assert found.ignored == ()


def test_the_first_day_needs_no_air():
    found = make_estimate(0)
    assert found.as_of == START
    assert found.mean.value == pytest.approx(80.0, abs=0.5)
    assert found.ready[0].state == "forecast"


def test_an_observation_of_tomorrow_is_left_out_with_the_reason():
    found = make_estimate(observations=[OvenSection(on(90), 40.0)])
    assert found.ignored[0][1] == "dated after the air history ends"


# What would narrow it most


def test_what_narrows_is_counted_in_days_and_the_best_comes_first():
    found = make_estimate(200, [WeighingRatio(on(60), START, 0.9), WeighingRatio(on(120), START, 0.85)])
    after = [one.interval_after_days for one in found.narrowing]
    assert {one.what for one in found.narrowing} == {"weighing", "oven section", "meter"}
    assert after == sorted(after)
    assert found.narrowing[0].what == "oven section"
    assert found.narrowing[0].saved_share > 0.1
    spread = (found.ready[0].latest - found.ready[0].earliest).days
    assert found.narrowing[0].interval_now_days == pytest.approx(spread, rel=0.1)


def test_what_narrows_can_be_about_the_target_that_matters():
    both = make_estimate(200, targets_mc_pct=(30.0, 20.0, 8.0))
    one = make_estimate(200, targets_mc_pct=(30.0, 20.0, 8.0), narrow_for_mc_pct=20.0)
    never = make_estimate(200, targets_mc_pct=(30.0, 20.0, 8.0), narrow_for_mc_pct=8.0)
    assert one.narrowing[0].interval_now_days > both.narrowing[0].interval_now_days
    assert never.narrowing == both.narrowing


def test_a_meter_promises_nothing_while_the_wood_is_too_wet_for_it():
    found = make_estimate(20)
    meter = next(one for one in found.narrowing if one.what == "meter")
    assert meter.saved_share == 0.0


def test_the_promised_narrowing_comes_true():
    """The interval after an oven section is near what was foretold before it, on average over twins."""
    foretold, came = [], []
    for seed in range(12):
        twin = make_twin(seed, thickness_in=1.0)
        before = estimate_twin(twin, [], target_pct=18.0)
        promise = next((one for one in before.narrowing if one.what == "oven section"), None)
        if promise is None:
            continue
        read = twin.truth(180) + 2.0 * float(np.random.default_rng(seed).standard_normal())
        after = estimate_twin(twin, [OvenSection(twin.start + timedelta(days=180), read)], target_pct=18.0)
        if after.ready[0].latest is None or after.ready[0].earliest is None:
            continue
        foretold.append(promise.interval_after_days)
        came.append((after.ready[0].latest - after.ready[0].earliest).days)
    assert len(came) >= 5
    assert np.mean(came) == pytest.approx(np.mean(foretold), rel=0.5, abs=8)


# Whatever comes in


@pytest.mark.parametrize(
    "wrong",
    [{"thickness_in": 0.0}, {"members": 10}, {"targets_mc_pct": (1.0,)}, {"start_mc_pct": 900.0}, {"shelter": -1.0}],
)
def test_what_is_out_of_range_is_refused(wrong):
    with pytest.raises(OutsideRange):
        make_estimate(**wrong)


OBSERVATION = st.one_of(
    st.builds(lambda d, r: WeighingRatio(on(d), START, r), st.integers(0, 130), st.floats(0.2, 2.0)),
    st.builds(lambda d, m: OvenSection(on(d), m), st.integers(-40, 130), st.floats(0.0, 300.0)),
    st.builds(lambda d, p, m: PinReading(on(d), p, m), st.integers(0, 130), st.floats(0.0, 3.0), st.floats(0.0, 60.0)),
    st.builds(lambda d, w: CondensateCaught(START, on(d), w, 1000.0), st.integers(0, 130), st.floats(0.0, 2000.0)),
)


@settings(max_examples=25, deadline=None)
@given(st.lists(OBSERVATION, max_size=6), st.integers(0, 120), st.floats(0.25, 6.0))
def test_no_set_of_measurements_makes_nonsense(observations, days, thickness_in):
    found = make_estimate(days, observations, thickness_in=thickness_in, members=256)
    for interval in (found.mean, found.shell, found.core):
        assert np.isfinite([interval.low, interval.value, interval.high]).all()
        assert interval.low <= interval.value <= interval.high
        assert 0 < interval.low < 260
    assert np.isfinite(found.path.low_pct + found.path.high_pct).all()
    assert found.effective_sample_size >= 1
    assert all(isinstance(line, str) and line for line in found.reasons)


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 500))
@example(476)  # weighings that scatter half as much again as they should
def test_more_members_narrow_nothing_away_from_the_truth(seed):
    """Eight times the members move the middle and the ends by no more than chance allows, the truth among them."""
    twin = make_twin(seed)
    observations = observe(twin, oven=True, weighings=True)
    few, many = (estimate_twin(twin, observations, members=count) for count in (1024, 8192))
    size = max(width(many.mean), 1.0)
    for end in ("value", "low", "high"):
        assert getattr(few.mean, end) == pytest.approx(getattr(many.mean, end), abs=0.35 * size)
    assert width(many.mean) > 0.6 * width(few.mean)

    def off(found):
        true = twin.truth(180)
        return max(found.mean.low - true, true - found.mean.high, 0.0)

    assert off(many) <= off(few) + 0.35 * size
