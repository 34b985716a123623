"""Speed and truth of the wood science, as ratios in one run wherever a ratio says more than seconds."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import numpy as np

from tests.bench.figures import Figure, best_of, processor_seconds
from tests.bench.science_twins import twin_figures
from tests.wood.plain_drying import plain_daily_mc
from tests.wood.twins import drawn_parameters
from yard.wood.air_history import air, warm_time
from yard.wood.climate import city
from yard.wood.diffusion import boards, grid, march
from yard.wood.drying import air_drying_days, air_from_humidity, dry, warm_steps
from yard.wood.drying_fit import START_DAY, published_times, stored_trial
from yard.wood.drying_parameters import drying_parameters
from yard.wood.ensemble_run import Cohort, run_past
from yard.wood.estimate import OvenSection, WeighingRatio, estimate_cohort, future_air
from yard.wood.estimate_many import estimate_cohorts
from yard.wood.future_weather import future_weather
from yard.wood.moisture import equilibrium_mc_pct

MEMBERS, DAYS, PLAIN_MEMBERS = 4000, 730, 6
OAK = "oak-northern-red"
CLIMATE = city("WI-Madison").climate
TODAY = date(2025, 9, 1)


def figures() -> Iterator[Figure]:
    yield from solver_figures()
    yield from analytic_figures()
    yield from outdoor_figures()
    yield from refresh_figures()
    yield from emc_figures()
    yield from twin_figures()


def two_years(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Temperature and EMC of 730 days at Madison, day-to-day noise and all."""
    weather = future_weather(CLIMATE, date(2024, 3, 1), DAYS, 1, seed=seed)
    return weather.temp_f[0], equilibrium_mc_pct(weather.temp_f[0], weather.rh_pct[0])


def members(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """D, S and start MC as the priors spread them."""
    random = np.random.default_rng(7)
    oak = drying_parameters(OAK)
    return (
        oak.diffusivity_m2_s * np.exp(0.4 * random.standard_normal(count)),
        oak.surface_m_s * np.exp(0.5 * random.standard_normal(count)),
        oak.start_mc_pct + 10.0 * random.standard_normal(count),
    )


def ensemble_daily_means(thickness_in: float, temp: np.ndarray, emc: np.ndarray) -> np.ndarray:
    """Mean MC (days, members) of the whole ensemble, by the run that the estimate makes."""
    diffusivity, surface, start = members(MEMBERS)
    theta = np.array([np.log(diffusivity), np.log(surface), start, np.zeros(MEMBERS)])
    cohort = Cohort(thickness_in, 30.0, drying_parameters(OAK).diffusivity_m2_s, date(2024, 3, 1), frozen_stop=False)
    past = run_past(cohort, air(temp, emc_pct=emc), theta, [])
    return past.means_by_day(np.arange(DAYS + 1.0), np.arange(MEMBERS))


def solver_figures() -> Iterator[Figure]:
    for thickness_in, quarters in ((1.0, "4/4"), (2.0, "8/4"), (3.0, "12/4")):
        yield from _solver_figures(thickness_in, quarters)


def _solver_figures(thickness_in: float, quarters: str) -> Iterator[Figure]:
    temp, emc = two_years(int(thickness_in))
    diffusivity, surface, start = members(MEMBERS)
    found = ensemble_daily_means(thickness_in, temp, emc)
    ours_s = best_of(3, lambda: ensemble_daily_means(thickness_in, temp, emc))

    def plain(n: int, rtol: float) -> np.ndarray:
        return plain_daily_mc(
            width=grid().width, half_m=thickness_in * 0.0254 / 2, diffusivity=diffusivity[n],
            surface=surface[n], saturation=30.0, start_pct=start[n], temp_f=temp, emc_pct=emc, rtol=rtol,
            atol=rtol,
        )[0]  # fmt: skip

    each_s = [best_of(1, lambda n=n: plain(n, 1e-4)) for n in range(PLAIN_MEMBERS)]
    plain_s = sum(each_s) / PLAIN_MEMBERS * MEMBERS
    off = max(float(np.abs(found[:, n] - plain(n, 1e-6)).max()) for n in range(PLAIN_MEMBERS))
    what = f"{MEMBERS:,} members x {DAYS} days x {len(grid().width)} cells, {quarters}"
    yield Figure(f"{what}: against scipy LSODA one by one", plain_s / ours_s, "x faster", "at least 500, aim 1,000")
    yield Figure(f"{what}: time", ours_s, "s", "as measured")
    yield Figure(f"{what}: farthest from LSODA on any day, {PLAIN_MEMBERS} members", off, "% MC", "at most 0.3")
    quickest = int(np.argmax(diffusivity * surface))
    off = float(np.abs(found[:, quickest] - plain(quickest, 1e-6)).max())
    yield Figure(f"{what}: farthest from LSODA, the quickest of all", off, "% MC", "as measured, it follows each day")


def analytic_figures() -> Iterator[Figure]:
    half_m, diffusivity = 0.0127, 1e-10
    clock = warm_time(air([68.0] * 60, emc_pct=10.0))
    edges = warm_steps(clock.total_s, half_m, diffusivity, 0.5)
    lot = boards(half_m, diffusivity, 1.0, 30.0)
    read = march(lot, np.full((len(grid().width), 1), 20.0), edges, clock.mean_emc_pct(edges), grid().width[None, :])
    b = (2 * np.arange(2000)[:, None] + 1) * np.pi / 2
    series = (2 / b**2 * np.exp(-(b**2) * edges * diffusivity / half_m**2)).sum(axis=0)
    off = float(np.abs((read.readings[:, 0, 0] - 10.0) / 10.0 - series).max())
    yield Figure("solver against the analytic series", off, "of evaporable water", "at most 0.015")


def outdoor_figures() -> Iterator[Figure]:
    june, january = (air_drying_days(OAK, 1.0, "WI-Madison", date(2025, month, 1)) for month in (6, 1))
    yield Figure("4/4 oak to 20% at Madison, stacked 1 June", june, "days", "60, 20% either way")
    yield Figure("4/4 oak to 20% at Madison, stacked 1 January", january, "days", "150, 20% either way")
    rows = [(key, row) for row in published_times() if row.longest_days for key in row.species_keys]
    trial, longest = stored_trial([key for key, _ in rows]), np.array([row.longest_days for _, row in rows])
    by_day = {day: trial.days_by_start_month(day) for day in (*range(1, 29, 3), START_DAY)}
    mean = np.mean([by_day[day] for day in range(1, 29, 3)], axis=0)
    for days, when in (
        (by_day[START_DAY], "mid-month"), (mean, "averaged over the days of each month"), (by_day[1], "on the first"),
    ):  # fmt: skip
        share = float(np.mean(np.abs(days.max(axis=0) / longest - 1) <= 0.30))
        name = f"1-inch table (from memory): longest time within 30%, stacked {when}, {len(rows)} species"
        yield Figure(name, 100.0 * share, "%", "at least 85 mid-month")


def request(seed: int, days: int, thickness_in: float) -> dict[str, Any]:
    """The arguments of an estimate of a stack of that age, weighed ten times, its truth drawn like a twin's."""
    random = np.random.default_rng(seed)
    start = TODAY - timedelta(days=days)
    weather = future_weather(CLIMATE, start, days, 1, seed=seed)
    history = air_from_humidity(weather.temp_f[0], weather.rh_pct[0])
    own = drawn_parameters(OAK, random)
    course = dry(OAK, thickness_in, history, parameters=own)
    weighings = []
    for day in sorted({int(x) for x in np.linspace(10, days, 10)}):
        true = (100 + course.mean_pct[day]) / (100 + course.mean_pct[0])
        ratio = float(true * (1 + 0.008 * random.standard_normal()))
        weighings.append(WeighingRatio(start + timedelta(days=day), start, ratio))
    section = OvenSection(start, own.start_mc_pct + 2.0 * float(random.standard_normal()))
    return {
        "species": OAK, "thickness_in": thickness_in, "start_date": start, "air": history,
        "targets_mc_pct": (20.0, 15.0), "observations": [section, *weighings], "seed": seed,
        "future_air": future_air(future_weather(CLIMATE, TODAY, 730, 32, seed=seed)),
    }  # fmt: skip


def refresh_figures() -> Iterator[Figure]:
    one = request(1, 365, 2.0)
    estimate_cohort(**one)
    yield Figure("refresh of one 8/4 cohort, a year old", best_of(5, lambda: estimate_cohort(**one)), "s", "under 0.35")
    yard = [request(n, 30 + (n * 37) % 600, (1.0, 1.25, 2.0, 3.0)[n % 4]) for n in range(200)]
    before = processor_seconds()
    took = best_of(1, lambda: estimate_cohorts(yard))
    worked = processor_seconds() - before
    yield Figure("whole refresh of 200 stacks", took, "s", "as measured")
    yield Figure("whole refresh of 200 stacks: processor time", worked, "s", "as measured, all cores together")


def emc_figures() -> Iterator[Figure]:
    random = np.random.default_rng(3)
    temp, rh = random.uniform(0.0, 120.0, 1_000_000), random.uniform(5.0, 98.0, 1_000_000)
    ours = best_of(5, lambda: equilibrium_mc_pct(temp, rh))
    plain = best_of(5, lambda: plain_emc_pct(temp, rh))
    off = float(np.abs(equilibrium_mc_pct(temp, rh) - plain_emc_pct(temp, rh))[temp > 30].max())
    yield Figure("EMC of a million rows against a plain numpy expression", plain / ours, "x as fast", "at least 1")
    yield Figure("EMC of a million rows: time", ours, "s", "as measured")
    yield Figure("EMC of a million rows: farthest from the plain expression", off, "% MC", "at most 0.07")


def plain_emc_pct(temp_f: np.ndarray, rh_pct: np.ndarray) -> np.ndarray:
    """Wood Handbook eq. 4-5 with temperature in °F, written straight out (coefficients from memory)."""
    h = rh_pct / 100
    w = 330 + 0.452 * temp_f + 0.00415 * temp_f**2
    k = 0.791 + 0.000463 * temp_f - 0.000000844 * temp_f**2
    k1 = 6.34 + 0.000775 * temp_f - 0.0000935 * temp_f**2
    k2 = 1.09 + 0.0284 * temp_f - 0.0000904 * temp_f**2
    return (
        1800
        / w
        * (k * h / (1 - k * h) + (k1 * k * h + 2 * k1 * k2 * k**2 * h**2) / (1 + k1 * k * h + k1 * k2 * k**2 * h**2))
    )
