"""A few yard-years with known truth, as a guard; the benchmark runs two hundred and prints the shares."""

import pytest

from tests.bench.promise_years import yard_years

YEARS = 24


@pytest.fixture(scope="module")
def years():
    return list(yard_years(YEARS))


def test_nine_in_ten_dates_hold_about_nine_times_in_ten(years):
    """Of 24 draws that hold 9 times in 10 fewer than 17 come once in 600 (binomial)."""
    assert all(one.promise.nine_in_ten is not None for one in years)
    assert sum(one.held for one in years) >= 17


def test_middle_dates_are_neither_always_nor_never_kept(years):
    """Of 24 draws that hold every other time, under 5 or over 19 come once in 650 (binomial)."""
    assert 5 <= sum(one.by_middle for one in years) <= 19
    assert all(one.promise.middle <= one.promise.nine_in_ten for one in years)


def test_a_yard_year_is_the_same_whenever_it_is_asked_for(years):
    assert next(iter(yard_years(1))) == years[0]
