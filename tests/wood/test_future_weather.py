"""Weather that has not come yet: the scatter measured on real days, and weathers that have it."""

import csv
import gzip
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from yard.wood.climate import MonthClimate, MonthlyClimate, city, daily_climate
from yard.wood.future_weather import (
    DayToDay,
    built_in_day_to_day,
    future_weather,
    measure_day_to_day,
    past_years,
)
from yard.wood.ranges import OutsideRange
from yard.wood.weather.days import day_of, day_rows
from yard.wood.weather.isd_lite import read_isd_lite
from yard.wood.weather.joining import joined
from yard.wood.weather.weather_file import CannotReadWeather

DATA = Path(__file__).parent / "weather" / "data"
CLIMATE = city("WI-Madison").climate
START = date(2025, 3, 1)


@pytest.fixture(scope="module")
def three_years():
    """The days of Chicago O'Hare 2015 to 2017, as the program reads them."""
    files = [(DATA / f"isd_lite_725300_{year}.gz").read_bytes() for year in (2015, 2016, 2017)]
    return day_rows(joined([read_isd_lite(content) for content in files]), -6)


def _days_by_hand():
    """Day means of the same files by other code: no reader of the program is used."""
    hours = {}
    for year in (2015, 2016, 2017):
        text = gzip.decompress((DATA / f"isd_lite_725300_{year}.gz").read_bytes()).decode("ascii")
        for line in text.splitlines():
            cells = line.split()
            temp, dew = float(cells[4]) / 10, float(cells[5]) / 10
            if temp > -900 and dew > -900:
                when = np.datetime64(f"{cells[0]}-{cells[1]}-{cells[2]}T{cells[3]}") - np.timedelta64(6, "h")
                pressure = [6.1094 * np.exp(17.625 * t / (243.04 + t)) for t in (dew, temp)]
                rh = min(100 * pressure[0] / pressure[1], 100)
                quarter = when.astype(object).hour // 6
                hours.setdefault(when.astype("datetime64[D]"), []).append((temp * 1.8 + 32, rh, quarter))
    whole = {day: np.array(rows) for day, rows in sorted(hours.items()) if len(rows) >= 18}
    return {day: rows[:, :2].mean(axis=0) for day, rows in whole.items() if len(set(rows[:, 2])) == 4}


def test_the_built_in_scatter_is_that_of_three_years_of_hours_of_one_station():
    """Hours, humidity (by the Magnus form), days and statistics by other code; only the smooth year is the program's.

    0.06 is the rounding of the table and 0.01 for the two humidity formulas.
    """
    by_hand = _days_by_hand()
    days = [day.astype(object) for day in by_hand]
    month = np.array([day.month for day in days])
    values = np.array(list(by_hand.values()))
    means = [values[month == number].mean(axis=0) for number in range(1, 13)]
    own = MonthlyClimate(
        tuple(MonthClimate(n + 1, *mean, 0.0) for n, mean in enumerate(means)), "weather file", "by hand"
    )
    smooth = daily_climate(own, date(2015, 1, 1), 3 * 365 + 1)
    at = [(day - date(2015, 1, 1)).days for day in days]
    anomaly = values - np.column_stack([smooth.temp_f[at], smooth.rh_pct[at]])
    with (Path(__file__).parents[2] / "yard/wood/data/day_to_day.csv").open(newline="") as lines:
        rows = list(csv.DictReader(lines))
    for number, row in enumerate(rows, start=1):
        temp, rh = anomaly[month == number].T
        assert temp.std() == pytest.approx(float(row["temp_sd_f"]), abs=0.06)
        assert rh.std() == pytest.approx(float(row["rh_sd_pct"]), abs=0.06)
        assert np.corrcoef(temp, rh)[0, 1] == pytest.approx(float(row["temp_rh_correlation"]), abs=0.006)
    for column, stated in ((0, rows[0]["temp_lag1"]), (1, rows[0]["rh_lag1"])):
        lag = np.corrcoef(anomaly[:-1, column], anomaly[1:, column])[0, 1]
        assert lag == pytest.approx(float(stated), abs=0.006)


def test_measuring_the_scatter_gives_the_built_in_figures(three_years):
    measured, stated = measure_day_to_day(three_years), built_in_day_to_day()
    assert measured.temp_sd_f == pytest.approx(stated.temp_sd_f, abs=0.051)
    assert measured.rh_sd_pct == pytest.approx(stated.rh_sd_pct, abs=0.051)
    assert measured.correlation == pytest.approx(stated.correlation, abs=0.0051)
    assert measured.temp_lag1 == pytest.approx(stated.temp_lag1, abs=0.0051)
    assert measured.rh_lag1 == pytest.approx(stated.rh_lag1, abs=0.0051)


def test_a_scatter_from_too_few_days_is_refused(three_years):
    with pytest.raises(CannotReadWeather, match="needs 40"):
        measure_day_to_day(three_years[:300])


def test_the_same_seed_gives_the_same_weathers_and_another_seed_others():
    one, same, other = (future_weather(CLIMATE, START, 60, 5, seed) for seed in (1, 1, 2))
    assert np.array_equal(one.temp_f, same.temp_f)
    assert np.array_equal(one.rh_pct, same.rh_pct)
    assert not np.array_equal(one.temp_f, other.temp_f)


@pytest.fixture(scope="module")
def many():
    normal = daily_climate(CLIMATE, START, 365)
    weather = future_weather(CLIMATE, START, 365, 3000, seed=7)
    return normal, weather


def test_the_weathers_scatter_about_the_normal(many):
    normal, weather = many
    assert weather.temp_f.shape == (3000, 365)
    assert np.abs(weather.temp_f.mean(axis=0) - normal.temp_f).max() < 1.0  # 5 standard errors of 11 °F
    # Cutting at 100% lowers the mean humidity; the docstring says a few tenths.
    assert -0.6 < float((weather.rh_pct - normal.rh_pct).mean()) < 0.1
    assert weather.rh_pct.max() <= 100
    assert weather.rh_pct.min() >= 5


def test_the_weathers_have_the_spread_persistence_and_correlation_asked_for(many):
    normal, weather = many
    wanted = built_in_day_to_day()
    anomaly = weather.temp_f - normal.temp_f
    july = slice(122, 153)
    assert anomaly[:, july].std() == pytest.approx(wanted.temp_sd_f[6], rel=0.05)
    january = slice(306, 337)
    assert anomaly[:, january].std() == pytest.approx(wanted.temp_sd_f[0], rel=0.05)
    lag = [np.corrcoef(anomaly[:, day], anomaly[:, day + 1])[0, 1] for day in range(0, 360, 20)]
    assert np.mean(lag) == pytest.approx(wanted.temp_lag1, abs=0.02)
    april_rh = weather.rh_pct[:, 45] - normal.rh_pct[45]
    assert np.corrcoef(anomaly[:, 45], april_rh)[0, 1] == pytest.approx(wanted.correlation[3], abs=0.08)


def test_a_scatter_of_nothing_gives_the_normal_itself():
    still = DayToDay((0.0,) * 12, (0.0,) * 12, (0.0,) * 12, 0.5, 0.5)
    weather = future_weather(CLIMATE, START, 30, 2, 1, still)
    assert weather.temp_f[0] == pytest.approx(daily_climate(CLIMATE, START, 30).temp_f)


@pytest.mark.parametrize(("days", "members"), [(-1, 5), (4001, 5), (10, 0), (10, 20001)])
def test_sizes_outside_their_range_are_refused(days, members):
    with pytest.raises(OutsideRange):
        future_weather(CLIMATE, START, days, members, 1)


def test_each_past_year_that_covers_the_dates_comes_again(three_years):
    weather = past_years(three_years, date(2018, 3, 1), 200)
    assert weather.temp_f.shape == (3, 200)
    known = {day.day: day for day in three_years}
    assert weather.temp_f[0, 0] == known[date(2015, 3, 1)].temp_f
    assert weather.rh_pct[2, 199] == known[date(2017, 3, 1) + timedelta(days=199)].rh_pct


def test_dates_across_the_turn_of_the_year_leave_out_the_year_that_has_no_next(three_years):
    assert past_years(three_years, date(2018, 11, 1), 120).temp_f.shape == (2, 120)


def test_a_leap_day_to_come_takes_the_first_of_march_of_a_common_year(three_years):
    weather = past_years(three_years, date(2020, 2, 28), 3)
    known = {day.day: day for day in three_years}
    assert weather.temp_f[0].tolist() == [
        known[date(2015, 2, 28)].temp_f, known[date(2015, 3, 1)].temp_f, known[date(2015, 3, 1)].temp_f
    ]  # fmt: skip
    assert weather.temp_f[1, 1] == known[date(2016, 2, 29)].temp_f


def test_a_short_gap_is_bridged_and_a_long_one_drops_the_year(three_years):
    wanted = date(2018, 5, 1)
    gap = {date(2015, 5, 10) + timedelta(days=n) for n in range(3)}
    short = tuple(day for day in three_years if day.day not in gap)
    known = {day.day: day.temp_f for day in three_years}
    bridged = past_years(short, wanted, 60).temp_f[0, 9:12]
    ends = known[date(2015, 5, 9)], known[date(2015, 5, 13)]
    assert bridged == pytest.approx([ends[0] + (ends[1] - ends[0]) * share for share in (0.25, 0.5, 0.75)])
    long_gap = {date(2015, 5, 10) + timedelta(days=n) for n in range(8)}
    assert past_years(tuple(d for d in three_years if d.day not in long_gap), wanted, 60).temp_f.shape[0] == 2


def test_past_years_without_the_dates_are_refused_in_words():
    few = tuple(day_of(date(2015, 1, 1) + timedelta(days=n), 30.0, 70.0, 24, "measured") for n in range(20))
    with pytest.raises(CannotReadWeather, match="No past year"):
        past_years(few, date(2018, 1, 10), 60)
    with pytest.raises(CannotReadWeather, match="No past year"):
        past_years((), date(2018, 1, 10), 60)
