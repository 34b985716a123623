"""The core followed through measured air: against the series, scipy, energy, and readings as they really come."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kilns.physics.core_history import core_history, film_w_m2_k, longest_hold
from kilns.physics.cross_section import CELLS, FREEZING_F, CrossSection
from kilns.physics.heating import core_share, minutes_to_core
from kilns.physics.wood_heat import wood_heat
from yard.wood.humid_air import rh_pct_from_wet_bulb
from yard.wood.ranges import OutsideRange

OAK = ("oak-northern-red", 2.0, 6.0)


def test_steady_heat_without_a_film_follows_the_series_within_half_a_degree():
    heat = wood_heat("oak-northern-red", 80, 108)
    for thickness_in, width_in in ((1, 6), (2, 6), (6, 6)):
        section = CrossSection(heat, thickness_in * 0.0254, width_in * 0.0254, start_f=60)
        for minute in range(1, 301):
            core = section.advance(60.0, 157.0)
            left = np.prod(
                [core_share(heat.diffusivity_m2_s, size * 0.0254, 60 * minute) for size in (thickness_in, width_in)]
            )
            assert core == pytest.approx(157 - 97 * left, abs=0.5)


def _scipy_core_f(heat, sizes_m, start_f, film, times_s, medium_of):
    """The same cells by LSODA in heat content, ice and all: the core cell's neighbours carried to the centre."""
    cells = [size / 2 / CELLS for size in sizes_m]
    face = [1 / (cell / (2 * heat.conductivity_w_m_k) + 1 / film) for cell in cells]

    def temps_c(content):
        return (np.maximum(content - heat.fusion_j_m3, 0) + np.minimum(content, 0)) / heat.capacity_j_m3_k

    def change(time_s, flat):
        temps = temps_c(flat.reshape(CELLS, CELLS))
        medium = (medium_of(time_s) - FREEZING_F) / 1.8
        gain = np.zeros_like(temps)
        for axis in (0, 1):
            across = temps if axis == 0 else temps.T
            flux = np.zeros((CELLS + 1, CELLS))
            flux[1:-1] = heat.conductivity_w_m_k / cells[axis] * (across[1:] - across[:-1])
            flux[-1] = face[axis] * (medium - across[-1])
            own = (flux[1:] - flux[:-1]) / cells[axis]
            gain += own if axis == 0 else own.T
        return gain.ravel()

    melted = heat.fusion_j_m3 if start_f > FREEZING_F else 0.0
    first = np.full(CELLS**2, (start_f - FREEZING_F) / 1.8 * heat.capacity_j_m3_k + melted)
    run = solve_ivp(change, (0, times_s[-1]), first, "LSODA", t_eval=times_s, rtol=1e-6, atol=1e3, max_step=60)
    temps = temps_c(run.y.T.reshape(-1, CELLS, CELLS)) * 1.8 + FREEZING_F
    return temps[:, 0, 0] + (temps[:, 0, 0] - temps[:, 1, 1]) / 8


@pytest.mark.parametrize("start_f", [60.0, 5.0])
def test_a_film_and_moving_air_agree_with_scipy_frozen_or_not(start_f):
    heat = wood_heat("oak-northern-red", 80, 90)
    film, sizes = film_w_m2_k(250), (0.0508, 0.1524)
    times = np.arange(0, 300 * 60 + 1, 300.0)

    def medium_of(time_s):
        return min(150.0, 40.0 + 110.0 * time_s / 7200.0)

    section = CrossSection(heat, *sizes, start_f=start_f, film_w_m2_k=film)
    ours = [start_f]
    for begin in times[:-1]:
        for minute in range(5):
            section.advance(60.0, medium_of(begin + 60 * minute + 30))
        ours.append(section.core_f)
    assert ours == pytest.approx(_scipy_core_f(heat, sizes, start_f, film, times, medium_of), abs=0.6)


def test_heat_is_neither_lost_nor_made_while_ice_melts():
    """In a medium at the freezing point itself nothing can melt; what goes in while it melts is what the cells hold."""
    heat = wood_heat("oak-northern-red", 80, 60)
    section = CrossSection(heat, 0.05, 0.05, start_f=10.0, film_w_m2_k=20.0)
    before = section.content_j_m3.sum()
    for _ in range(600):
        section.advance(60.0, FREEZING_F)
    assert before < section.content_j_m3.sum() <= 1e-6 * heat.fusion_j_m3 * CELLS**2
    assert section.core_f == pytest.approx(FREEZING_F, abs=0.05)


def test_a_film_makes_it_slower_than_the_bare_series():
    minutes = np.arange(0, 400)
    run = core_history(minutes, np.full(400, 157.0), *OAK, 20.0, start_f=60.0)
    bare = minutes_to_core(*OAK, 20.0, 60.0, 157.0)
    assert bare < run.reached_at_min < 3 * bare


def test_the_clock_counts_only_unbroken_minutes():
    minutes = np.arange(0, 200)
    temps = np.where((minutes >= 50) & (minutes < 75) | (minutes >= 90) & (minutes <= 121), 134.0, 120.0)
    hold = longest_hold(minutes, temps)
    assert (hold.longest_min, hold.reached_at_min, hold.proved_at_min) == (31.0, 50.0, 120.0)


def test_a_gap_in_a_probes_record_breaks_the_clock():
    minutes = [*range(20), *range(40, 60)]
    assert longest_hold(minutes, [140.0] * 40).longest_min == 19.0
    assert longest_hold(minutes, [140.0] * 40).proved_at_min is None


@settings(deadline=None)
@given(st.lists(st.floats(100, 160), min_size=2, max_size=60))
def test_no_hold_is_longer_than_the_record(temps):
    hold = longest_hold(range(len(temps)), temps)
    assert 0 <= hold.longest_min <= len(temps) - 1
    assert (hold.reached_at_min is not None) == any(one >= 133 for one in temps)


def test_dry_wood_in_hot_air_is_proved_and_its_time_given():
    minutes = np.arange(0, 480)
    run = core_history(minutes, np.full(480, 150.0), *OAK, 10.0, start_f=60.0)
    assert run.proved
    assert run.proved_at_min == pytest.approx(run.reached_at_min + 30)
    assert not run.needs_probe
    assert run.reasons == ()


def test_wet_wood_under_a_low_wet_bulb_gets_no_time_and_asks_for_a_probe():
    minutes = np.arange(0, 2000)
    humidity = rh_pct_from_wet_bulb(150.0, 120.0)
    run = core_history(minutes, np.full(2000, 150.0), *OAK, 60.0, start_f=60.0, rh_pct=np.full(2000, humidity))
    assert (run.proved, run.needs_probe, run.longest_hold_min, run.reached_at_min) == (False, True, 0.0, None)
    assert "probe" in run.reasons[0]


def test_wet_wood_without_humidity_readings_asks_for_a_probe():
    run = core_history(np.arange(0, 2000), np.full(2000, 150.0), *OAK, 60.0, start_f=60.0)
    assert run.needs_probe
    assert "wet bulb is not known" in run.reasons[0]


def test_wet_wood_in_steam_can_be_proved_at_its_wet_bulb():
    minutes = np.arange(0, 800)
    run = core_history(minutes, np.full(800, 155.0), *OAK, 60.0, start_f=60.0, rh_pct=np.full(800, 97.0))
    assert run.proved
    assert "probe in the core is surer" in run.reasons[0]


def test_over_a_gap_the_colder_reading_stands():
    every = core_history(np.arange(0, 121), np.full(121, 150.0), *OAK, 10.0, start_f=60.0)
    gap = core_history([0.0, 120.0], [60.0, 150.0], *OAK, 10.0, start_f=60.0)
    assert gap.core_f[-1] == pytest.approx(60.0, abs=0.01)
    assert every.core_f[-1] > 100


def test_hours_without_readings_do_not_warm_the_wood_and_are_told():
    """The air was hot before and after ten hours of which nobody knows anything."""
    known = core_history([0.0, *range(600, 640)], [150.0] * 41, *OAK, 10.0, start_f=60.0)
    assert not known.proved
    assert known.core_f.max() < 133
    assert "Nothing was read for 600 min" in known.reasons[0]


def test_sparse_readings_within_a_quarter_of_an_hour_give_the_same_core():
    fine = core_history(np.arange(0, 301), np.linspace(60, 150, 301), *OAK, 10.0, start_f=60.0)
    coarse = core_history(np.arange(0, 301, 10), np.linspace(60, 150, 31), *OAK, 10.0, start_f=60.0)
    assert coarse.core_f == pytest.approx(fine.core_f[::10], abs=0.05)


def test_a_month_of_minutes_is_followed_cell_by_cell_and_never_leaves_the_air():
    minutes = np.arange(0, 43_200)
    dry = 90.0 + 55.0 * np.sin(minutes / 700.0)
    run = core_history(minutes, dry, *OAK, 12.0, start_f=50.0)
    assert len(run.core_f) == len(minutes)
    assert dry.min() - 0.1 <= run.core_f.min() <= run.core_f.max() <= dry.max() + 0.1


@pytest.mark.parametrize(
    ("minutes", "temps", "match"),
    [
        ([0, 10, 5], [60, 70, 80], "Sort them"),
        ([0, 10, 10], [60, 70, 80], "Sort them"),
        ([0, 10], [60], "readings"),
        ([], [], "readings"),
        ([0, 1], [60, 900], "temperature"),
        ([0, 1], [60, float("nan")], "temperature"),
    ],
)
def test_readings_that_are_none_are_refused_in_words(minutes, temps, match):
    with pytest.raises(OutsideRange, match=match):
        core_history(minutes, temps, *OAK, 10.0, start_f=60.0)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-20, 200), min_size=2, max_size=40), st.floats(-20, 120), st.sampled_from([10.0, 60.0]))
def test_the_core_never_leaves_what_air_and_start_allow(temps, start_f, mc):
    run = core_history(np.arange(len(temps)) * 5.0, temps, *OAK, mc, start_f=start_f, rh_pct=90.0)
    assert run.core_f.min() >= min(*temps, start_f) - 60  # the wet bulb lies under the air by less than that
    assert run.core_f.max() <= max(*temps, start_f) + 0.5
