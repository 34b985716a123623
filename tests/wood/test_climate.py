"""The built-in climate: the table as published, interpolation with its measured error, the smooth year."""

import csv
import math
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.wood.cities import distance_mi
from yard.wood.climate import (
    EAST_ERROR,
    EAST_OF_DEG,
    MEASURED_WITHIN_MI,
    WEST_ERROR,
    MonthClimate,
    MonthlyClimate,
    all_cities,
    city,
    daily_climate,
    monthly_climate,
    nearest_city,
)
from yard.wood.humid_air import rh_pct_from_dew_point
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange

PUBLISHED = Path(__file__).parents[1] / "published"
ISLANDS = ("AK-Juneau", "HI-Honolulu")


def _rows(name):
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


# -- the table ---------------------------------------------------------------------------------------------


def test_every_month_of_every_city_has_the_emc_and_temperature_of_the_published_table():
    """Expected values are from memory (see the file's provenance column), not read in the publication."""
    rows = _rows("outdoor_emc_by_city.csv")
    assert len(rows) == 588
    for row in rows:
        ours = city(f"{row['state']}-{row['city']}").climate.month(int(row["month"]))
        assert ours.emc_pct == pytest.approx(float(row["emc_pct"]), abs=0.05), row
        assert ours.temp_f == pytest.approx(float(row["mean_temp_f"]), abs=0.05), row


def test_the_humidity_column_gives_the_emc_column_back():
    """The humidity was worked out from the EMC, so this checks the table against itself, to its rounding."""
    for one in all_cities():
        for row in one.climate:
            assert equilibrium_mc_pct(row.temp_f, row.rh_pct) == pytest.approx(row.emc_pct, abs=0.05)


def test_madison_is_as_much_cooler_than_its_recent_normals_as_the_sources_page_says():
    """Read values of 1991-2020; the table describes 1961-1990, so every month must be a little cooler."""
    warmer = [
        float(row["mean_temp_f"]) - city("WI-Madison").climate.month(int(row["month"])).temp_f
        for row in _rows("normals_1991_2020.csv")
        if row["city"] == "WI-Madison"
    ]
    assert len(warmer) == 12
    assert min(warmer) == pytest.approx(0.4, abs=0.05)
    assert max(warmer) == pytest.approx(3.7, abs=0.05)


def test_the_emc_of_dallas_agrees_with_read_temperature_and_dew_point():
    """Independent of the table: read mean temperature and dew point, by way of the EMC equation."""
    differences = []
    for row in _rows("normals_1991_2020.csv"):
        if row["dew_point_f"]:
            temp_f, dew_f = float(row["mean_temp_f"]), float(row["dew_point_f"])
            rh = rh_pct_from_dew_point(temp_f, dew_f)
            table = city(row["city"]).climate.month(int(row["month"])).emc_pct
            differences.append(equilibrium_mc_pct(temp_f, rh) - table)
    assert len(differences) == 12
    assert max(abs(one) for one in differences) < 1.5
    assert abs(sum(differences) / 12) < 0.7


def test_an_unknown_city_is_refused_with_an_example_of_a_key():
    with pytest.raises(KeyError, match="WI-Madison"):
        city("Madison")


def test_a_monthly_climate_must_have_its_twelve_months_in_order():
    with pytest.raises(ValueError, match="twelve rows"):
        MonthlyClimate(city("WI-Madison").climate.months[:11], "city", "short")


# -- the nearest place -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lat", "lon", "key"),
    [(43.07, -89.40, "WI-Madison"), (44.95, -93.09, "MN-Minneapolis-St. Paul"), (44.48, -73.21, "ME-Portland"),
     (21.3, -157.9, "HI-Honolulu"), (61.2, -149.9, "AK-Juneau")],
)  # fmt: skip
def test_the_nearest_city_is_found(lat, lon, key):
    assert nearest_city(lat, lon).key == key


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-90, 90), st.floats(-180, 180))
def test_distance_agrees_with_the_angle_between_two_vectors(lat_a, lon_a, lat_b, lon_b):
    def vector(lat, lon):
        lat, lon = math.radians(lat), math.radians(lon)
        return np.array([math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat)])

    a, b = vector(lat_a, lon_a), vector(lat_b, lon_b)
    angle = math.atan2(float(np.linalg.norm(np.cross(a, b))), float(a @ b))
    assert distance_mi(lat_a, lon_a, lat_b, lon_b) == pytest.approx(3958.8 * angle, abs=0.01)


@pytest.mark.parametrize(("lat", "lon"), [(91, 0), (-91, 0), (0, 181), (0, -181), (math.nan, 0), (0, math.inf)])
def test_a_place_that_is_not_on_the_globe_is_refused(lat, lon):
    with pytest.raises(OutsideRange):
        nearest_city(lat, lon)
    with pytest.raises(OutsideRange):
        monthly_climate(lat, lon, 100)


# -- interpolation -----------------------------------------------------------------------------------------


def _left_out_errors(east):
    """Root mean square errors of temperature, EMC and humidity over the places of one half, each left out."""
    temp, emc, humidity = [], [], []
    for one in all_cities():
        if one.key in ISLANDS or (one.lon_deg > EAST_OF_DEG) is not east:
            continue
        guess = monthly_climate(one.lat_deg, one.lon_deg, one.elevation_ft, without=frozenset({one.key}))
        for ours, true in zip(guess, one.climate, strict=True):
            temp.append(ours.temp_f - true.temp_f)
            emc.append(ours.emc_pct - true.emc_pct)
            humidity.append(ours.rh_pct - true.rh_pct)
    return [math.sqrt(sum(e * e for e in errors) / len(errors)) for errors in (temp, emc, humidity)]


@pytest.mark.parametrize(("east", "stated"), [(True, EAST_ERROR), (False, WEST_ERROR)])
def test_the_stated_error_of_interpolation_is_the_one_measured_by_leaving_places_out(east, stated):
    temp, emc, humidity = _left_out_errors(east)
    assert round(temp, 1) == stated.temp_f
    assert round(emc, 1) == stated.emc_pct
    assert round(humidity, 1) == stated.rh_pct


def test_the_label_names_the_places_their_distance_and_the_measured_error():
    label = monthly_climate(44.5, -90.5, 1000).label
    assert "Madison, WI (" in label
    assert "1.7 °F and 0.6% EMC" in label
    assert monthly_climate(40.0, -110.0, 5000).emc_error_pct == 2.4


def test_at_a_built_in_place_the_place_itself_answers():
    one = city("WI-Madison")
    rows = monthly_climate(one.lat_deg, one.lon_deg, one.elevation_ft)
    for ours, true in zip(rows, one.climate, strict=True):
        assert (ours.temp_f, ours.rh_pct, ours.emc_pct) == pytest.approx((true.temp_f, true.rh_pct, true.emc_pct))
    assert "Madison" in rows.label
    assert "from memory" in rows.label


def test_higher_is_colder_by_the_standard_lapse_rate_and_no_drier_by_itself():
    low, high = monthly_climate(44, -91, 1000), monthly_climate(44, -91, 2000)
    for below, above in zip(low, high, strict=True):
        assert below.temp_f - above.temp_f == pytest.approx(3.566, abs=0.001)
        assert below.emc_pct == above.emc_pct


def test_without_an_elevation_that_of_the_places_is_taken():
    one = city("CO-Denver")
    assert monthly_climate(one.lat_deg, one.lon_deg)[0].temp_f == one.climate[0].temp_f


@settings(max_examples=60, deadline=None)
@given(st.floats(31, 48), st.floats(-122, -72), st.floats(0, 8000))
def test_interpolated_emc_lies_between_those_of_the_places_and_shares_add_to_one(lat, lon, elevation_ft):
    rows = monthly_climate(lat, lon, elevation_ft)
    assert sum(place.weight for place in rows.places) == pytest.approx(1)
    for month in range(12):
        values = [city(place.key).climate[month].emc_pct for place in rows.places]
        assert min(values) - 1e-9 <= rows[month].emc_pct <= max(values) + 1e-9
        assert 0 < rows[month].rh_pct < 100
        assert -80 < rows[month].temp_f < 130


def test_far_from_every_place_it_says_very_rough_and_farther_it_refuses():
    far = monthly_climate(50.5, -104.6, 1900)  # about 470 miles from Fargo
    assert far.places[0].distance_mi > MEASURED_WITHIN_MI
    assert far.label.startswith("Very rough")
    assert far.temp_error_f is None
    with pytest.raises(OutsideRange, match="weather file"):
        monthly_climate(59.9, 10.7, 100)


def test_an_elevation_beyond_the_range_is_refused():
    with pytest.raises(OutsideRange, match="elevation"):
        monthly_climate(44, -91, 20000)


# -- the smooth year ---------------------------------------------------------------------------------------


def _climate(temps, humidities):
    return MonthlyClimate(
        tuple(MonthClimate(n + 1, t, h, 12.0) for n, (t, h) in enumerate(zip(temps, humidities, strict=True))),
        "weather file", "test",
    )  # fmt: skip


def _month_days(series, year, month):
    days = series.dates()
    return [i for i, day in enumerate(days) if (day.year, day.month) == (year, month)]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-30, 100), min_size=12, max_size=12), st.integers(1999, 2030))
def test_the_mean_of_the_days_of_each_month_is_the_months_own_figure(temps, year):
    series = daily_climate(_climate(temps, [60.0] * 12), date(year, 1, 1), 800)
    for month in range(1, 13):
        days = _month_days(series, year, month)
        assert series.temp_f[days].mean() == pytest.approx(temps[month - 1], abs=1e-6)


@pytest.mark.parametrize("year", [2023, 2024])
def test_humidity_keeps_its_monthly_means_in_common_and_leap_years(year):
    climate = city("OR-Portland").climate
    series = daily_climate(climate, date(year, 1, 1), 366)
    for row in climate:
        assert series.rh_pct[_month_days(series, year, row.month)].mean() == pytest.approx(row.rh_pct, abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_no_other_year_with_the_same_monthly_means_bends_less(seed):
    """The definition of the method, tried against random curves that leave the monthly means as they are."""
    ours = daily_climate(city("WI-Madison").climate, date(2023, 1, 1), 365)
    other = np.random.default_rng(seed).normal(0, 1, 365)
    for month in range(1, 13):
        days = _month_days(ours, 2023, month)
        other[days] -= other[days].mean()

    def bending(curve):
        return float(((np.roll(curve, 1) - 2 * curve + np.roll(curve, -1)) ** 2).sum())

    assert bending(ours.temp_f) < bending(ours.temp_f + 0.01 * other)


def test_no_day_jumps_not_at_the_turn_of_a_month_nor_of_a_leap_year():
    series = daily_climate(city("WI-Madison").climate, date(2023, 1, 1), 3 * 365)
    assert np.abs(np.diff(series.temp_f)).max() < 0.6
    assert np.abs(np.diff(series.rh_pct)).max() < 0.5


def test_a_run_of_days_is_the_same_wherever_it_is_begun():
    climate = city("ME-Portland").climate
    whole = daily_climate(climate, date(2023, 11, 1), 200)
    part = daily_climate(climate, date(2024, 1, 10), 20)
    offset = (part.start - whole.start).days
    assert part.temp_f == pytest.approx(whole.temp_f[offset : offset + 20])
    assert part.dates()[-1] == date(2024, 1, 10) + timedelta(days=19)
    assert len(daily_climate(climate, date(2024, 1, 1), 0)) == 0


def test_humidity_never_passes_saturation_even_where_the_smooth_curve_would():
    climate = _climate([50.0] * 12, [99.0, 99.5, 20.0, 99.5, 99.0, 99.0, 99.5, 10.0, 99.5, 99.0, 99.0, 99.0])
    series = daily_climate(climate, date(2023, 1, 1), 365)
    assert series.rh_pct.max() <= 100
    assert series.rh_pct.min() >= 1


@pytest.mark.parametrize("days", [-1, 40001])
def test_a_run_too_long_or_negative_is_refused(days):
    with pytest.raises(OutsideRange):
        daily_climate(city("WI-Madison").climate, date(2024, 1, 1), days)
