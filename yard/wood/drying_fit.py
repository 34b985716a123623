"""Fit the drying model's starting constants to published air-drying times: `python -m yard.wood.drying_fit`.

For each row of data/air_drying_times.csv, D at 20 °C is found so that the best start month at Madison,
Wisconsin, dries a one-inch board to 20% in the shortest published time. The middle of each month stands for
the month. Where even a board without inner resistance would be slower than that (the air film sets the
pace), D stays at the cap and the surface coefficient is raised instead (f of S = f ks/(1000 G)). Species
without a row take the median of their drying group. The result is data/drying_parameters.csv.
"""

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from statistics import median

import numpy as np

from yard.wood.air_history import WarmTime, warm_time
from yard.wood.climate import city, daily_climate
from yard.wood.diffusion import Floats, boards, grid, march
from yard.wood.drying import M_PER_IN, STEP_WARM_DAYS, air_from_humidity, warm_steps
from yard.wood.drying_parameters import SURFACE_KG_M2_S, WATER_KG_M3, drying_parameters
from yard.wood.species import Species, all_species, species

DATA = Path(__file__).parent / "data"
PLACE = "WI-Madison"
TARGET_PCT = 20.0
TYPICAL_M2_S = 3e-11  # sets the length of the steps only
FIT_YEAR, START_DAY, RUN_DAYS = 2025, 15, 900

SLOWEST_M2_S, CAP_M2_S, RUNGS = 2e-12, 1.6e-10, 64
# m²/s: the range searched; the cap is about twice what the quickest sugar maple read asks for (PECK-1957, 40 days
# in Upper Michigan: 7.4e-11 in the climate interpolated there), our own choice


@dataclass(frozen=True, slots=True)
class PublishedTime:
    """One row of the 1-inch table: the species keys it serves and days green to 20%."""

    table_name: str
    species_keys: tuple[str, ...]
    shortest_days: float
    longest_days: float | None
    provenance: str


@dataclass(frozen=True, slots=True)
class Fitted:
    """Constants that meet the shortest time, and the longest the model then gives over the start months."""

    diffusivity_m2_s: float
    surface_factor: float
    shortest_days: float
    longest_days: float


@cache
def published_times() -> tuple[PublishedTime, ...]:
    """Return the rows of the 1-inch table that serve a species of the species table.

    Source: TN-233 table 1, from memory.

    >>> [row.shortest_days for row in published_times() if "oak-northern-red" in row.species_keys]
    [70.0]
    """
    with (DATA / "air_drying_times.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(
            PublishedTime(
                row["table_name"],
                tuple(row["species"].split(";")),
                float(row["shortest_days"]),
                float(row["longest_days"]) if row["longest_days"] else None,
                row["provenance"],
            )
            for row in csv.DictReader(lines)
            if row["species"]
        )


@cache
def _clocks(start_day: int) -> tuple[WarmTime, ...]:
    """The air of Madison from each start month on."""
    normals = (daily_climate(city(PLACE).climate, date(FIT_YEAR, month, start_day), RUN_DAYS) for month in range(1, 13))
    return tuple(warm_time(air_from_humidity(one.temp_f, one.rh_pct)) for one in normals)


@dataclass(frozen=True, eq=False)
class Trial:
    """One-inch boards to be dried at Madison: a species, D at 20 °C and surface factor for each."""

    woods: tuple[Species, ...]
    diffusivity_m2_s: Floats
    surface_factor: Floats

    def days_by_start_month(self, start_day: int = START_DAY) -> Floats:
        """Return days to 20% (start months, boards); infinite where not reached."""
        half_m = M_PER_IN / 2
        gravity = np.array([wood.basic_specific_gravity for wood in self.woods])
        surface = self.surface_factor * SURFACE_KG_M2_S / (WATER_KG_M3 * gravity)
        saturation = np.array([wood.fibre_saturation_pct for wood in self.woods])
        lot = boards(half_m, self.diffusivity_m2_s, surface, saturation)
        start = np.array([wood.green_moisture.mc_pct for wood in self.woods])
        profile = np.broadcast_to(start, (len(grid().width), len(lot)))
        found = []
        for clock in _clocks(start_day):
            edges = warm_steps(clock.total_s, half_m, TYPICAL_M2_S, STEP_WARM_DAYS)
            run = march(lot, profile, edges, clock.mean_emc_pct(edges), grid().mean_weights()[None, :])
            found.append(first_days(np.asarray(run.readings[:, 0]), edges, clock))
        return np.array(found)


def first_days(mean_pct: Floats, edges_s: Floats, clock: WarmTime) -> Floats:
    """Return the days at which each board (edges, boards) first is at 20%, infinite where it never is.

    >>> from yard.wood.air_history import air
    >>> clock = warm_time(air([68.0] * 10, emc_pct=10.0))
    >>> first_days(np.array([[30.0, 80.0], [10.0, 70.0]]), np.array([0.0, 5 * 86400.0]), clock).round(6).tolist()
    [2.5, inf]
    """
    after = np.maximum(np.argmax(mean_pct <= TARGET_PCT, axis=0), 1)
    column = np.arange(mean_pct.shape[1])
    wet, dry = mean_pct[after - 1, column], mean_pct[after, column]
    share = np.clip((wet - TARGET_PCT) / np.maximum(wet - dry, 1e-12), 0.0, 1.0)
    days = clock.day(edges_s[after - 1] + share * (edges_s[after] - edges_s[after - 1]))
    return np.where(mean_pct.min(axis=0) <= TARGET_PCT, days, np.inf)


def stored_trial(keys: Sequence[str]) -> Trial:
    """Return the Trial of species with the constants that are stored.

    >>> float(stored_trial(["oak-northern-red"]).days_by_start_month().min().round())
    70.0
    """
    stored = [drying_parameters(key) for key in keys]
    return Trial(
        tuple(species(key) for key in keys),
        np.array([one.diffusivity_m2_s for one in stored]),
        np.array([one.surface_factor for one in stored]),
    )


def fit(wanted: Sequence[tuple[Species, float]]) -> list[Fitted]:
    """Return the constants that dry one-inch boards in the shortest published times [days] at Madison."""
    woods = tuple(wood for wood, _ in wanted)
    ladder, factors = np.geomspace(SLOWEST_M2_S, CAP_M2_S, RUNGS), np.geomspace(1.0, 30.0, RUNGS)
    by_inside = _shortest(woods, ladder, np.ones(RUNGS))
    by_surface = _shortest(woods, np.full(RUNGS, CAP_M2_S), factors)
    diffusivity, factor = np.full(len(woods), CAP_M2_S), np.ones(len(woods))
    for n, (_, days) in enumerate(wanted):
        if by_inside[n, -1] <= days:
            diffusivity[n] = np.exp(np.interp(-days, -by_inside[n], np.log(ladder)))
        else:
            factor[n] = np.exp(np.interp(-days, -by_surface[n], np.log(factors)))
    days_found = Trial(woods, diffusivity, factor).days_by_start_month()
    return [
        Fitted(float(d), float(f), float(days.min()), float(days.max()))
        for d, f, days in zip(diffusivity, factor, days_found.T, strict=True)
    ]


def _shortest(woods: tuple[Species, ...], diffusivities: Floats, factors: Floats) -> Floats:
    """Days from the best start month (woods, rungs) over pairs of constants."""
    many = tuple(wood for wood in woods for _ in diffusivities)
    trial = Trial(many, np.tile(diffusivities, len(woods)), np.tile(factors, len(woods)))
    return np.asarray(trial.days_by_start_month().min(axis=0).reshape(len(woods), -1))


def fit_all() -> dict[str, tuple[PublishedTime, Fitted]]:
    """Fit every species that the 1-inch table serves."""
    served = [(key, row) for row in published_times() for key in row.species_keys]
    found = fit([(species(key), row.shortest_days) for key, row in served])
    return {key: (row, one) for (key, row), one in zip(served, found, strict=True)}


FIELDS = (
    "species", "diffusivity_m2_s", "surface_factor", "basis", "table_name", "published_shortest_days",
    "published_longest_days", "model_shortest_days", "model_longest_days", "source", "provenance",
)  # fmt: skip


def parameter_rows(fits: dict[str, tuple[PublishedTime, Fitted]]) -> Iterable[dict[str, str]]:
    """Return a row of data/drying_parameters.csv for every species of the species table."""
    source = f"fit at {PLACE} to TN-233 table 1 by yard/wood/drying_fit.py"
    for wood in all_species():
        if wood.key in fits:
            row, found = fits[wood.key]
            figures = (
                f"{found.diffusivity_m2_s:.3e}", f"{found.surface_factor:.3g}", "fitted", row.table_name,
                f"{row.shortest_days:g}", f"{row.longest_days:g}" if row.longest_days else "",
                f"{found.shortest_days:.1f}", f"{found.longest_days:.0f}", source,
                f"computed; published time: {row.provenance}",
            )  # fmt: skip
        else:
            group = [one for key, (_, one) in fits.items() if species(key).drying_group == wood.drying_group]
            figures = (
                f"{median(one.diffusivity_m2_s for one in group):.3e}",
                f"{median(one.surface_factor for one in group):.3g}",
                f"median of the drying group {wood.drying_group} ({len(group)} species)", "", "", "", "", "",
                source, "computed; published times: memory",
            )  # fmt: skip
        yield dict(zip(FIELDS, (wood.key, *figures), strict=True))


def main() -> None:
    """Write data/drying_parameters.csv."""
    fits = fit_all()
    with (DATA / "drying_parameters.csv").open("w", newline="", encoding="utf-8") as out:
        table = csv.DictWriter(out, FIELDS, lineterminator="\n")
        table.writeheader()
        table.writerows(parameter_rows(fits))
    print(f"{len(fits)} species fitted, {len(all_species())} rows written")


if __name__ == "__main__":
    main()
