"""Show the working of drying: rate constants, days outdoors, MC today and ready dates, opened up."""

from collections.abc import Sequence
from datetime import date

from yard.wood.diffusion import temperature_factor
from yard.wood.drying import air_drying_days
from yard.wood.drying_parameters import diffusivity_m2_s, drying_parameters, surface_m_s
from yard.wood.estimate import estimate_cohort
from yard.wood.sources import source
from yard.wood.species import Species
from yard.wood.species import species as species_of
from yard.wood.working import Input, Working, work_out

MODEL_FORMULA = (
    "dM/dt = d/dx (D dM/dx) over half the thickness; D = D20 r(T), through the face S r(T) (min(M, F) − EMC); "
    "r(T) = exp[−5280 (1/T − 1/293.15)], T in kelvin"
)
ENSEMBLE_FORMULA = (
    "each simulated board runs once through the air; weight = product of exp[−½ ((seen − simulated)/spread)²] "
    "over the observations; low, middle and high are the 10, 50 and 90% points of the weighted boards"
)
OUTSIDE = "Rain, sun, drying through the ends, and wet or dry skins are outside the model."


def working_diffusivity(wood: str | Species) -> Working:
    """Open up how fast water moves inside a wood at 20 °C. Arguments as `drying_parameters`.

    >>> working_diffusivity("oak-northern-red").unit
    'm²/s'
    """
    known = drying_parameters(wood)
    return work_out(
        "Diffusion constant at 20 °C (68 °F)",
        "fitted so that one inch, stacked in the best month at Madison, meets the shortest published time to 20%",
        diffusivity_m2_s,
        {"wood": (species_of(wood).key, "species", "")},
        "m²/s",
        "TN-233",
        known.provenance,
        (known.basis, known.source),
    )


def working_surface(wood: str | Species, shelter: float = 1.0) -> Working:
    """Open up how fast water leaves the surface at 20 °C. Arguments as `drying_parameters`.

    >>> f"{working_surface('oak-northern-red').result:.2e}"
    '1.79e-08'
    """
    known = drying_parameters(wood)
    arguments = {"wood": (species_of(wood).key, "species", ""), "shelter": (shelter, "how freely air moves", "")}
    notes = (f"surface factor of the species {known.surface_factor:g}",)
    formula = "S = shelter × surface factor × 0.00001/(1000 × basic specific gravity)"
    return work_out(
        "Surface coefficient at 20 °C (68 °F)", formula, surface_m_s, arguments, "m/s", "DRYING-START", None, notes
    )


def working_temperature_factor(temp_f: float) -> Working:
    """Open up how fast drying goes at a temperature, against 68 °F.

    >>> round(working_temperature_factor(15.8).result, 2)
    0.14
    """
    return work_out(
        "Temperature factor",
        "r = exp[−5280 (1/T − 1/293.15)], T in kelvin",
        _factor,
        {"temp_f": (temp_f, "temperature of the wood", "°F")},
        "times the rate at 68 °F",
        "SIMPSON-1993",
    )


def _factor(temp_f: float) -> float:
    return float(temperature_factor(temp_f))


def working_air_drying_days(
    wood: str | Species, thickness_in: float, city: str, start: date, target_mc_pct: float = 20.0
) -> Working:
    """Open up the days that a board takes outdoors. Arguments as `drying.air_drying_days`.

    >>> 48 < working_air_drying_days("oak-northern-red", 1.0, "WI-Madison", date(2025, 6, 1)).result < 72
    True
    """
    known = drying_parameters(wood)
    arguments = {
        "species": (species_of(wood).key, "species", ""),
        "thickness_in": (thickness_in, "thickness", "in"),
        "city": (city, "place", ""),
        "start": (start, "day it was stickered", ""),
        "target_mc_pct": (target_mc_pct, "target moisture content", "%"),
    }
    notes = (f"from green, {known.start_mc_pct:g}%", f"constants: {known.basis}", OUTSIDE)
    return work_out(
        "Days to dry outdoors", MODEL_FORMULA, air_drying_days, arguments, "days", "SIMPSON-1993",
        "memory: temperature law, climate and published times", notes,
    )  # fmt: skip


def working_estimated_mc(
    *,
    wood: str | Species,
    thickness_in: float,
    start_date: date,
    as_of: date,
    value_pct: float,
    low_pct: float,
    high_pct: float,
    observations: Sequence[str],
    prior_basis: str,
    method: str,
) -> Working:
    """Open up a stored estimate of MC; its figures are those that `estimate_cohort` gave.

    >>> working_estimated_mc(
    ...     wood="oak-northern-red", thickness_in=2.0, start_date=date(2025, 4, 1), as_of=date(2025, 9, 1),
    ...     value_pct=38.0, low_pct=35.5, high_pct=40.0, observations=["oven section of 1 Apr 2025"],
    ...     prior_basis="published drying times", method="4,096 simulated boards").result
    38.0
    """
    inputs = (
        *_board(wood, thickness_in, start_date),
        Input("as of", as_of),
        Input("before anything was measured", prior_basis),
        *(Input("observation", one) for one in observations),
    )
    notes = (f"80% interval {low_pct:.1f} to {high_pct:.1f}%", MODEL_FORMULA, OUTSIDE)
    return _estimated("Moisture content, estimated", inputs, value_pct, "%", (method, *notes))


def working_ready_date(
    *,
    wood: str | Species,
    thickness_in: float,
    start_date: date,
    as_of: date,
    target_mc_pct: float,
    earliest: date | None,
    likely: date,
    latest: date | None,
    method: str,
) -> Working:
    """Open up a stored ready date: days from the day of the estimate to the middle date.

    >>> working_ready_date(
    ...     wood="oak-northern-red", thickness_in=2.0, start_date=date(2025, 4, 1), as_of=date(2025, 9, 1),
    ...     target_mc_pct=20.0, earliest=date(2026, 4, 1), likely=date(2026, 5, 1), latest=None,
    ...     method="4,096 simulated boards").result
    242.0
    """
    inputs = (*_board(wood, thickness_in, start_date), Input("as of", as_of), Input("target", target_mc_pct, "%"))
    ends = [f"{one.day} {one:%b %Y}" if one else "after the horizon" for one in (earliest, latest)]
    notes = (f"80% interval {ends[0]} to {ends[1]}; the later end holds nine times in ten", MODEL_FORMULA, OUTSIDE)
    days = float((likely - as_of).days)
    return _estimated(f"Days to {target_mc_pct:g}%, estimated", inputs, days, "days", (method, *notes))


def _board(wood: str | Species, thickness_in: float, start_date: date) -> tuple[Input, ...]:
    return (
        Input("species", species_of(wood).key),
        Input("thickness", thickness_in, "in"),
        Input("stickered on", start_date),
    )


def _estimated(title: str, inputs: tuple[Input, ...], result: float, unit: str, notes: tuple[str, ...]) -> Working:
    publication = source("DRYING-START")
    function = f"{estimate_cohort.__module__}.{estimate_cohort.__qualname__}"
    return Working(
        title, ENSEMBLE_FORMULA, inputs, result, unit, publication.key, publication.text, "computed", function, notes
    )
