"""The solver against the analytic series, against scipy on the same equations, and against common sense."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.wood.plain_drying import plain_daily_mc
from yard.wood.diffusion import boards, grid, march, step_edges, temperature_factor
from yard.wood.drying import air, dry
from yard.wood.ensemble_run import Cohort, run_past
from yard.wood.priors import starting_prior

DAY_S = 86400.0
WIDTH = grid().width


def _steady(half_m, diffusivity, surface, start, emc, days, saturation=30.0, single=False):
    edges = step_edges(days * DAY_S, half_m**2 / diffusivity)
    lot = boards(half_m, diffusivity, surface, saturation)
    profile = np.full((len(WIDTH), 1), start)
    rows = np.vstack([WIDTH, np.eye(len(WIDTH))])
    run = march(lot, profile, edges, np.full(len(edges) - 1, emc), rows, single=single)
    return edges, run.readings[:, :, 0]


def test_the_fraction_left_follows_the_analytic_series():
    """CRANK-1975, plane sheet with its faces held at once: sum of 2/b² exp(-b² D t/l²), b = (2n+1) π/2."""
    half_m, diffusivity = 0.0127, 1e-10
    edges, read = _steady(half_m, diffusivity, 1.0, 20.0, 10.0, 3 * half_m**2 / diffusivity / DAY_S)
    fourier = edges * diffusivity / half_m**2
    b = (2 * np.arange(2000)[:, None] + 1) * np.pi / 2
    series = (2 / b**2 * np.exp(-(b**2) * fourier)).sum(axis=0)
    left = (read[:, 0] - 10.0) / 10.0
    assert np.abs(left - series).max() < 0.015
    assert np.abs(left - series)[fourier > 0.02].max() < 0.006


def test_the_fraction_left_follows_the_analytic_series_with_a_surface_resistance():
    """CRANK-1975, plane sheet with surface resistance: 2 L²/(b² (b² + L² + L)) exp(-b² Fo), b tan b = L."""
    from scipy.optimize import brentq

    half_m, diffusivity, biot = 0.0127, 1e-10, 2.0
    edges, read = _steady(
        half_m, diffusivity, biot * diffusivity / half_m, 20.0, 10.0, 3 * half_m**2 / diffusivity / DAY_S
    )
    roots = np.array([brentq(lambda b: b * np.tan(b) - biot, n * np.pi, (n + 0.5) * np.pi - 1e-9) for n in range(60)])[
        :, None
    ]
    fourier = edges * diffusivity / half_m**2
    series = (2 * biot**2 / (roots**2 * (roots**2 + biot**2 + biot)) * np.exp(-(roots**2) * fourier)).sum(axis=0)
    assert np.abs((read[:, 0] - 10.0) / 10.0 - series).max() < 0.004


def _two_years(seed):
    """Daily air with seasons, spells of weather and jumps, made up."""
    random = np.random.default_rng(seed)
    day = np.arange(730)
    noise = np.zeros((2, 730))
    for n in range(1, 730):
        noise[:, n] = 0.7 * noise[:, n - 1] + 0.71 * random.standard_normal(2)
    temp = 46 - 27 * np.cos(2 * np.pi * (day + 60 * seed - 15) / 365) + 8 * noise[0]
    return temp, np.clip(14 + 1.2 * np.cos(2 * np.pi * day / 365) + 2.5 * noise[1], 4.0, 26.0)


def _by_scipy(thickness_in, temp, emc, *, diffusivity, surface, start, saturation=30.0):
    return plain_daily_mc(
        width=WIDTH, half_m=thickness_in * 0.0254 / 2, diffusivity=diffusivity, surface=surface,
        saturation=saturation, start_pct=start, temp_f=temp, emc_pct=emc, rtol=1e-6, atol=1e-6,
    )[0]  # fmt: skip


SLOW_AND_QUICK = [
    *(("oak-northern-red", thickness_in, seed) for thickness_in in (1.0, 2.0, 3.0) for seed in (0, 3)),
    *(("pine-sugar", thickness_in, 0) for thickness_in in (1.0, 2.0, 3.0)),
]
# the sugar pine has the quickest constants of all woods; the red oak the usual ones


@pytest.mark.parametrize(("wood", "thickness_in", "seed"), SLOW_AND_QUICK)
def test_every_day_of_two_years_is_within_three_tenths_of_what_scipy_finds(wood, thickness_in, seed):
    temp, emc = _two_years(seed)
    course = dry(wood, thickness_in, air(temp, emc_pct=emc))
    used = course.parameters
    plain = _by_scipy(
        thickness_in, temp, emc, diffusivity=used.diffusivity_m2_s, surface=used.surface_m_s, start=used.start_mc_pct
    )
    assert np.abs(course.mean_pct - plain).max() < 0.3


@pytest.mark.parametrize(("wood", "thickness_in", "seed"), SLOW_AND_QUICK)
def test_the_ensembles_own_run_is_within_three_tenths_of_what_scipy_finds(wood, thickness_in, seed):
    """The middle member and one a standard deviation slower inside and wetter, as the estimate runs them."""
    temp, emc = _two_years(seed)
    prior = starting_prior(wood)
    middle = np.array([one.mean for one in prior.beliefs])
    slower = middle + np.array([-prior.ln_d.sd, 0.0, prior.start_mc_pct.sd, 0.0])
    cohort = Cohort(thickness_in, 30.0, float(np.exp(prior.ln_d.mean)), date(2025, 1, 1), frozen_stop=False)
    past = run_past(cohort, air(temp, emc_pct=emc), np.column_stack([middle, slower]), [])
    found = past.means_by_day(np.arange(731.0), np.arange(2))
    for n, (ln_d, ln_s, start, _) in enumerate((middle, slower)):
        plain = _by_scipy(thickness_in, temp, emc, diffusivity=np.exp(ln_d), surface=np.exp(ln_s), start=start)
        assert np.abs(found[:, n] - plain).max() < 0.3


@pytest.mark.parametrize("exponent", [0.0001, 3.0, 13.4])
def test_wood_that_conducts_less_when_dry_is_within_three_tenths_of_what_scipy_finds(exponent):
    temp, emc = _two_years(1)
    history = air(temp[:400], emc_pct=emc[:400])
    course = dry("oak-northern-red", 1.0, history, wetness_exponent=exponent)
    used = course.parameters
    plain, _ = plain_daily_mc(
        width=WIDTH, half_m=0.0127, diffusivity=used.diffusivity_m2_s, surface=used.surface_m_s, saturation=30.0,
        start_pct=80.0, temp_f=temp[:400], emc_pct=emc[:400], rtol=1e-6, atol=1e-6, exponent=exponent,
    )  # fmt: skip
    assert np.abs(course.mean_pct - plain).max() < 0.3
    if exponent < 0.001:
        assert course.mean_pct == pytest.approx(dry("oak-northern-red", 1.0, history).mean_pct, abs=0.01)


def test_the_wetness_exponent_of_aspen_makes_d_eight_times_larger_from_2_5_to_18_percent():
    """SIMPSON-1974 (abstract read): a factor of 8 at 110 °F, by the slope of two flat profiles between fixed faces."""
    from yard.wood.diffusion_by_wetness import _Solver

    lot, faces = boards(0.0127, 1e-10, 1.0, 30.0), []
    solver = _Solver(lot, WIDTH[:, None], 13.4)
    for mc in (2.5, 18.0):
        flat = np.full((len(WIDTH), 1), mc)
        after = solver.stage(flat, flat, np.array([mc - 0.5]), 1.0)
        faces.append(float(WIDTH @ (flat - after)[:, 0]))
    assert faces[1] / faces[0] == pytest.approx(8.0, rel=0.02)


def test_members_in_single_precision_agree_with_double():
    _, double = _steady(0.0254, 3e-11, 1.8e-8, 80.0, 12.0, 700)
    _, single = _steady(0.0254, 3e-11, 1.8e-8, 80.0, 12.0, 700, single=True)
    assert np.abs(double - single).max() < 0.01


POSITIVE = st.floats(0.0, 1.0)


@settings(max_examples=60, deadline=None)
@given(POSITIVE, POSITIVE, POSITIVE, st.floats(6.0, 200.0), st.floats(0.5, 28.0), st.floats(1.0, 900.0))
def test_in_steady_air_mc_stays_between_the_air_and_the_start(thick, inner, outer, start, emc, days):
    half_m = 0.003 + 0.06 * thick
    diffusivity, surface = 10 ** (-11.7 + 2 * inner), 10 ** (-8.5 + 2 * outer)
    _, read = _steady(half_m, diffusivity, surface, start, emc, days)
    low, high = min(start, emc), max(start, emc)
    assert np.isfinite(read).all()
    assert read[:, 0].min() >= low - 1e-6
    assert read[:, 0].max() <= high + 1e-6
    assert read.min() >= low - 0.02 * (high - low) - 1e-6
    assert read.max() <= high + 0.02 * (high - low) + 1e-6


@settings(max_examples=60, deadline=None)
@given(POSITIVE, POSITIVE, POSITIVE, st.floats(6.0, 200.0), st.integers(0, 1000))
def test_what_the_board_loses_is_what_went_through_the_face(thick, inner, outer, start, seed):
    """The loss of the mean over the run is the integral of the flux that each stage let out."""
    from yard.wood import diffusion

    half_m = 0.003 + 0.06 * thick
    lot = boards(half_m, 10 ** (-11.7 + 2 * inner), 10 ** (-8.5 + 2 * outer), 30.0)
    random = np.random.default_rng(seed)
    edges = np.cumsum(np.concatenate([[0.0], random.uniform(10.0, 3 * DAY_S, 40)]))
    out = []

    class Watched(diffusion._Walker):
        def _let_out(self, state):
            super()._let_out(state)
            out.append((self.step_s, float(self.flux[0])))

    profile = np.full((len(WIDTH), 1), start)
    plain = diffusion._Walker
    diffusion._Walker = Watched
    try:
        run = march(lot, profile, edges, random.uniform(4.0, 25.0, 40), WIDTH[None, :])
    finally:
        diffusion._Walker = plain
    gamma = 1 - 0.5**0.5
    shares = [1 - gamma, gamma] * 40
    through = sum(step * share * flux for (step, flux), share in zip(out, shares, strict=True)) / half_m
    assert run.readings[0, 0, 0] - run.readings[-1, 0, 0] == pytest.approx(through, abs=1e-6)


def test_free_water_leaves_at_a_steady_rate():
    """While the face is at fibre saturation the loss a second is S (F - EMC)/l, whatever the start MC."""
    half_m, surface = 0.02, 2e-9
    for start in (120.0, 180.0):
        edges, read = _steady(half_m, 2e-10, surface, start, 10.0, 20)
        rate = -(read[-1, 0] - read[0, 0]) / (edges[-1] - edges[0])
        assert rate == pytest.approx(surface * (30.0 - 10.0) / half_m, rel=1e-6)


def test_wood_at_16_degrees_dries_at_a_seventh_of_the_rate_at_68():
    """Computed in scaling rules: 0.14 at -9 °C."""
    assert float(temperature_factor(15.8)) == pytest.approx(0.14, abs=0.005)


def test_blocks_of_boards_can_stand_in_different_air():
    edges = step_edges(100 * DAY_S, 0.0127**2 / 3e-11)
    emc = np.column_stack([np.full(len(edges) - 1, 8.0), np.full(len(edges) - 1, 16.0)])
    lot = boards(0.0127, np.full(4, 3e-11), 1.8e-8, 30.0)
    read = march(lot, np.full((10, 4), 60.0), edges, emc, WIDTH[None, :]).readings[-1, 0]
    _, dry = _steady(0.0127, 3e-11, 1.8e-8, 60.0, 8.0, 100)
    _, damp = _steady(0.0127, 3e-11, 1.8e-8, 60.0, 16.0, 100)
    assert read == pytest.approx([dry[-1, 0], dry[-1, 0], damp[-1, 0], damp[-1, 0]], abs=1e-6)
