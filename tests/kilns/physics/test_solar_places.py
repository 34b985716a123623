"""The built-in sun: what was read, and the error of interpolating it, measured by leaving each place out."""

import math

import pytest

from kilns.physics.solar_places import EAST_ERROR_PCT, EAST_OF_DEG, WEST_ERROR_PCT, flat_sun, sun_places
from yard.wood.ranges import OutsideRange


def _errors_pct(west):
    found = []
    for one in sun_places():
        if (one.lon_deg <= EAST_OF_DEG) != west:
            continue
        try:
            guess = flat_sun(one.lat_deg, one.lon_deg, without=(one.key,))
        except OutsideRange:
            continue
        found += [100 * (ours / read - 1) for ours, read in zip(guess.global_wh_m2, one.global_wh_m2, strict=True)]
    return found


@pytest.mark.parametrize(("west", "said"), [(False, EAST_ERROR_PCT), (True, WEST_ERROR_PCT)])
def test_the_error_is_the_one_that_is_shown(west, said):
    errors = _errors_pct(west)
    assert len(errors) >= 36
    measured = math.sqrt(sum(one * one for one in errors) / len(errors))
    assert said - 2.5 <= measured <= said


def test_at_a_place_itself_its_own_figures_stand():
    chicago = next(one for one in sun_places() if one.key == "IL-Chicago")
    assert flat_sun(chicago.lat_deg, chicago.lon_deg).global_wh_m2 == pytest.approx(chicago.global_wh_m2, rel=0.01)


def test_the_printed_months_of_duluth_are_there():
    """The statistics file of Duluth's TMY3 prints 1643 Wh/m² a day for January, 912 of it diffuse (read)."""
    duluth = next(one for one in sun_places() if one.key == "MN-Duluth")
    assert (duluth.global_wh_m2[0], duluth.diffuse_wh_m2[0]) == (1643, 912)
    assert (duluth.global_wh_m2[5], duluth.diffuse_wh_m2[5]) == (6083, 2534)


def test_no_month_is_clearer_than_air_or_cloudier_than_its_diffuse():
    for one in sun_places():
        for month in range(1, 13):
            assert 0.15 < one.clearness(month) < 0.75
            assert 0.1 < one.diffuse_share(month) < 0.9


def test_far_from_every_place_nothing_is_said():
    with pytest.raises(OutsideRange, match="weather file"):
        flat_sun(51.5, 0.0)
