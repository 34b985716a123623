"""The most moisture that a wood may lose in a day without harm, by species and thickness."""

import csv
import math
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import require_range
from yard.wood.sources import DATA_DIR
from yard.wood.species import Species
from yard.wood.species import species as species_of

THINNEST_IN, THICKEST_IN = 0.5, 4.0
# in, nominal: no source rates thinner or thicker lumber
THICKNESS_POWER = -1.32
# of thickness beyond 8/4: the power law through the factor 0.4 at 8/4 (inferred, no source)
QUALITY_DECIDED_ABOVE_PCT, LIMIT_IDLE_BELOW_PCT, WALNUT_SAFE_BELOW_PCT = 45.0, 15.0, 30.0
# % MC; Wengert, for oak and for walnut (data/safe_rate_notes.csv)


@dataclass(frozen=True, slots=True)
class SafeRate:
    """A limit with what it rests on; `estimated` unless a source prints it for that wood and thickness.

    `basis` is "printed", "thickness rule" (from the same wood's printed thicknesses) or "drying group" (no
    source rates the wood: the slowest printed rate among woods of its group, ours, no source). `wood` is
    the wood as the source names it.
    """

    pct_per_day: float
    basis: str
    wood: str
    source_key: str
    provenance: str
    estimated: bool


@dataclass(frozen=True, slots=True)
class RateNote:
    """A thing to know about the limits, with where it was read."""

    key: str
    note: str
    source_key: str
    provenance: str


def safe_rate(species: str | Species, thickness_in: float) -> SafeRate:
    """Return the most that a wood may lose in a day, with what the figure rests on.

    Parameters: `species` key or Species; `thickness_in` nominal [in], 0.5 to 4; thinner than 4/4 takes the
    rate of 4/4. Returns SafeRate [% MC a day]. Raises OutsideRange.
    Source: FPL-GTR-118 and Wengert's columns, in data/safe_rates.csv row by row; between the printed
    thicknesses by the factors of data/safe_rate_thickness.csv, beyond 8/4 by the power law (inferred).
    Check: 4/4 upland northern red oak 3.8% a day (read).

    >>> safe_rate("oak-northern-red", 1).pct_per_day, safe_rate("oak-black", 1).basis
    (3.8, 'drying group')
    """
    wood = species_of(species)
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    printed = _printed().get(wood.key)
    if printed is not None:
        return _at_thickness(printed, thickness_in)
    stand_in = _slowest_of_group(wood.drying_group)
    found = _at_thickness(stand_in, thickness_in)
    provenance = f"{found.provenance}; taken over from another wood of the drying group, no source"
    return replace(found, basis="drying group", provenance=provenance, estimated=True)


def safe_rate_pct_per_day(species: str | Species, thickness_in: float) -> float:
    """Return the most that a wood may lose in a day, as a bare figure.

    Parameters, range, errors and source: as `safe_rate`. Returns [% MC a day].
    Check: 8/4 walnut 3.3% a day (read).

    >>> safe_rate_pct_per_day("walnut-black", 2)
    3.3
    """
    return safe_rate(species, thickness_in).pct_per_day


def loss_pct_per_day(from_mc_pct: float, to_mc_pct: float, days: float) -> float:
    """Return how fast wood lost moisture between two times; below 0 when it took some up.

    Parameters: `from_mc_pct` and `to_mc_pct` [%], 0 to 400; `days` between [day], 0.01 to 10,000.
    Returns [% MC a day]. Raises OutsideRange. Source: definition.
    Check: from 30 to 7% in 7.67 days is 3% a day.

    >>> round(loss_pct_per_day(30, 7, 7.67), 1)
    3.0
    """
    require_range("first moisture content", from_mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("moisture content now", to_mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("days between", days, 0.01, 10_000.0, "days")
    return (from_mc_pct - to_mc_pct) / days


def days_at_rate(from_mc_pct: float, to_mc_pct: float, pct_per_day: float) -> float:
    """Return the days that drying takes at a steady rate.

    Parameters: `from_mc_pct` [%], 0 to 400; `to_mc_pct` [%], 0 to `from_mc_pct`; `pct_per_day` [% MC a
    day], 0.01 to 100. Returns [day]. Raises OutsideRange. Source: definition.
    Check: 4/4 upland red oak at 3% a day from 30 to 7% takes almost 8 days (a university extension text).

    >>> round(days_at_rate(30, 7, 3), 2)
    7.67
    """
    require_range("first moisture content", from_mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("moisture content to reach", to_mc_pct, 0.0, from_mc_pct, "%")
    require_range("rate", pct_per_day, 0.01, 100.0, "% a day")
    return (from_mc_pct - to_mc_pct) / pct_per_day


def rate_notes(species: str | Species, mc_pct: float) -> tuple[RateNote, ...]:
    """Return what to know about the limit for a wood at its moisture content now.

    Parameters: `species` key or Species; `mc_pct` [%], 0 to 400. Returns RateNotes, the most pressing
    first. Raises OutsideRange. Source: Wengert's columns, in data/safe_rate_notes.csv row by row.
    Check: above 45% the quality of oak is decided (read).

    >>> [note.key for note in rate_notes("oak-white", 60)]
    ['high-mc', 'hours', 'wide-rings', 'quartersawn']
    """
    wood = species_of(species)
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    wanted = []
    if mc_pct > QUALITY_DECIDED_ABOVE_PCT:
        wanted.append("high-mc")
    if wood.key.startswith("walnut") and mc_pct < WALNUT_SAFE_BELOW_PCT:
        wanted.append("walnut")
    if mc_pct < LIMIT_IDLE_BELOW_PCT:
        wanted.append("low-mc")
    else:
        wanted.append("hours")
        if wood.key.startswith("oak"):
            wanted.append("wide-rings")
        wanted.append("quartersawn")
    notes = _notes()
    return tuple(notes[key] for key in wanted)


@dataclass(frozen=True, slots=True)
class _Printed:
    """One wood's printed rates at 4/4 and 8/4."""

    key: str
    wood: str
    rates: tuple[float, float]
    source_keys: tuple[str, str]
    provenances: tuple[str, str]


def _at_thickness(printed: _Printed, thickness_in: float) -> SafeRate:
    thin, thick = printed.rates
    for place, printed_in in enumerate((1.0, 2.0)):
        if thickness_in == printed_in:
            source_key, provenance = printed.source_keys[place], printed.provenances[place]
            return SafeRate(printed.rates[place], "printed", printed.wood, source_key, provenance, False)
    if thickness_in < 1.0:
        rate, how = thin, f"{printed.provenances[0]}; the rate of 4/4, no faster for thinner (our own choice)"
    elif thickness_in < 2.0:
        rate, how = _between(printed, thickness_in), "memory medium: between 4/4 and 8/4 by published factors"
    else:
        rate = thick * (thickness_in / 2.0) ** THICKNESS_POWER
        how = f"{printed.provenances[1]}; beyond 8/4 by a power law (inferred)"
    return SafeRate(rate, "thickness rule", printed.wood, printed.source_keys[0], how, True)


def _between(printed: _Printed, thickness_in: float) -> float:
    """A rate between 4/4 and 8/4: straight lines in the logarithms through the published factors."""
    thin, thick = printed.rates
    points = [(size, thin * factor) for size, factor in _factors() if size < 2.0] + [(2.0, thick)]
    for (low_in, low_rate), (high_in, high_rate) in pairwise(points):
        if thickness_in <= high_in:
            share = math.log(thickness_in / low_in) / math.log(high_in / low_in)
            return low_rate * math.exp(share * math.log(high_rate / low_rate))
    return thick


def _slowest_of_group(drying_group: str) -> _Printed:
    group = [row for key, row in _printed().items() if species_of(key).drying_group == drying_group]
    return min(group, key=lambda row: row.rates[0])


@cache
def _printed() -> dict[str, _Printed]:
    rows = _rows("safe_rates.csv")
    found = {}
    for key in dict.fromkeys(row["species_key"] for row in rows):
        thin, thick = (_row_at(rows, key, size) for size in (1.0, 2.0))
        found[key] = _Printed(
            key,
            thin["wood_as_printed"],
            (float(thin["rate_pct_per_day"]), float(thick["rate_pct_per_day"])),
            (thin["source_key"], thick["source_key"]),
            (thin["provenance"], thick["provenance"]),
        )
    return found


@cache
def _factors() -> tuple[tuple[float, float], ...]:
    return tuple((float(row["thickness_in"]), float(row["factor"])) for row in _rows("safe_rate_thickness.csv"))


@cache
def _notes() -> dict[str, RateNote]:
    return {row["key"]: RateNote(**row) for row in _rows("safe_rate_notes.csv")}


def _row_at(rows: list[dict[str, str]], key: str, thickness_in: float) -> dict[str, str]:
    return next(row for row in rows if row["species_key"] == key and float(row["thickness_in"]) == thickness_in)


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA_DIR / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
