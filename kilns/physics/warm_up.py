"""How long a kiln takes to warm up with a load in it.

Two bodies: the air with the lining, and the wood with its water, which takes its heat from the air through a film
and its own half thickness. Heaters run flat out until the air is at the set temperature and just hold it from then
on. Frozen wood stands at 32 °F until the ice of its free water has melted.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kilns.physics.core_history import USUAL_SPEED_FPM, film_w_m2_k
from kilns.physics.kiln_box import BTUH_PER_W, KilnBox
from kilns.physics.load_heat import (
    BTU_PER_KWH,
    BTU_PER_LB_PER_KJ_KG,
    ICE_AT_F,
    Load,
    load_capacity_btu_f,
)
from kilns.physics.wood_heat import FUSION_KJ_PER_KG, W_M_K_PER_BTU_IN, conductivity_w_m_k
from yard.wood.ranges import require_range
from yard.wood.species import species as species_of

Floats = NDArray[np.float64]

STEP_H = 1.0 / 60.0
# h: a minute, each solved exactly (our choice)
WITHIN_F = 2.0
# °F under the set temperature at which the wood counts as warm (our own figure)
LONGEST_H = 24.0 * 14
W_M2_K_PER_BTUH_FT2_F = 5.678263
# exact from the definitions of the units


@dataclass(frozen=True, slots=True)
class TwoBodies:
    """The numbers of the two bodies: heat a degree [Btu/°F], links [Btu/(h °F)], ice [Btu], power [Btu/h]."""

    air_btu_f: float
    wood_btu_f: float
    link_btuh_f: float
    loss_btuh_f: float
    ice_btu: float
    power_btuh: float
    hold_btuh: float  # of the power, what always runs: the fans


@dataclass(frozen=True, eq=False)
class WarmUp:
    """A warm-up by the minute: air and mean wood temperature [°F], and when each was there [h]; None for never."""

    hours: Floats
    air_f: Floats
    wood_f: Floats
    air_at_h: float | None
    wood_at_h: float | None
    heater_kwh: float
    reasons: tuple[str, ...]

    @property
    def reached(self) -> bool:
        """Whether the wood got warm."""
        return self.wood_at_h is not None


def two_bodies(box: KilnBox, load: Load, from_f: float, to_f: float, speed_fpm: float = USUAL_SPEED_FPM) -> TwoBodies:
    """Return the numbers that a warm-up is reckoned with.

    Parameters: as `warm_up`. Raises OutsideRange, UnknownSpecies. Source: load `load_heat`; film MCADAMS-1954; a
    slab's mean lags its face by a third of its half thickness (quasi-steady conduction, common mathematics).
    """
    wood = species_of(load.species_key)
    conducts = conductivity_w_m_k(wood.basic_specific_gravity, load.mc_pct) / W_M_K_PER_BTU_IN
    film = film_w_m2_k(speed_fpm) / W_M2_K_PER_BTUH_FT2_F
    resists = 1.0 / film + load.thickness_in / 2.0 / (3.0 * conducts)
    free = max(0.0, load.mc_pct - wood.fibre_saturation_pct) / 100.0
    frozen = from_f < ICE_AT_F < to_f
    return TwoBodies(
        air_btu_f=max(box.air_capacity_btu_f, 1.0),
        wood_btu_f=max(load_capacity_btu_f(load, (from_f + to_f) / 2), 1.0),
        link_btuh_f=load.face_area_ft2 / resists,
        loss_btuh_f=box.loss_btuh_f(),
        ice_btu=load.dry_lb * free * FUSION_KJ_PER_KG * BTU_PER_LB_PER_KJ_KG if frozen else 0.0,
        power_btuh=(box.heater_w + box.fan_w) * BTUH_PER_W,
        hold_btuh=box.fan_w * BTUH_PER_W,
    )


def warm_up(
    box: KilnBox, load: Load, from_f: float, to_f: float, outdoor_f: float, speed_fpm: float = USUAL_SPEED_FPM
) -> WarmUp:
    """Return how a kiln and its load warm up from one temperature to a set temperature.

    Parameters: `from_f` of kiln and wood [°F], -60 up to `to_f`; `to_f` the set temperature [°F], to 200;
    `outdoor_f` [°F], -60 to 120; `speed_fpm` through the stack [ft/min]. The dehumidifier is off, vents shut, and
    what little water leaves meanwhile is left out. Returns WarmUp. Raises OutsideRange, UnknownSpecies.
    Source: lumped heat balance of the two bodies, ASHRAE-HOF and `load_heat`; held to scipy's transient solution of
    the same equations by the tests. Check: 1.5 kW for 8.6 kWh of wood takes 5.7 h at least.

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 1, (Layer("wall", 400, 400),)),), 100, 0, heater_w=1500)
    >>> 5.7 < warm_up(box, Load("oak-northern-red", 300, 1, 12), 68, 140, 68).wood_at_h < 7.0
    True
    """
    require_range("set temperature", to_f, -60.0, 200.0, "°F")
    require_range("start temperature", from_f, -60.0, to_f, "°F", "It is that warm already")
    require_range("outdoor temperature", outdoor_f, -60.0, 120.0, "°F")
    bodies = two_bodies(box, load, from_f, to_f, speed_fpm)
    hours, air, wood, spent = _march(bodies, from_f, to_f, outdoor_f)
    reasons = ["the load's mean temperature; its core lags behind: see the heating time of the thickest piece"]
    if bodies.ice_btu:
        reasons.append("frozen: the heat to melt its free water is in")
    air_at, wood_at = _first(hours, air, to_f - 1e-6), _first(hours, wood, to_f - WITHIN_F)
    if wood_at is None:
        reasons.append(f"it does not get there: the air ends at {air[-1]:.0f} °F, the wood at {wood[-1]:.0f} °F")
    heaters = max(0.0, spent - bodies.hold_btuh * float(hours[-1])) / BTU_PER_KWH
    return WarmUp(hours, air, wood, air_at, wood_at, heaters, tuple(reasons))


def _march(bodies: TwoBodies, from_f: float, to_f: float, outdoor_f: float) -> tuple[Floats, Floats, Floats, float]:
    """Minute by minute until the wood is warm, nothing changes any more, or time is up; with the heat spent [Btu]."""
    air_f, wood_f, ice_left, spent = from_f, from_f, bodies.ice_btu, 0.0
    path, free, fixed = [(0.0, air_f, wood_f)], _exact(bodies, melting=False), _exact(bodies, melting=True)
    for minute in range(1, int(LONGEST_H / STEP_H) + 1):
        before_air, before_wood = air_f, wood_f
        melting = ice_left > 0.0 and wood_f >= ICE_AT_F
        step = fixed if melting else free
        end_air, end_wood, mean_air = step.move(air_f, wood_f, bodies.power_btuh, outdoor_f)
        power = bodies.power_btuh
        if end_air > to_f:
            end_air, end_wood, mean_air, power = _held(bodies, air_f, wood_f, to_f, outdoor_f, melting)
        if melting:
            ice_left -= bodies.link_btuh_f * (mean_air - ICE_AT_F) * STEP_H
            end_wood = ICE_AT_F if ice_left > 0.0 else ICE_AT_F - ice_left / bodies.wood_btu_f
        elif ice_left > 0.0 and end_wood > ICE_AT_F:
            ice_left -= (end_wood - ICE_AT_F) * bodies.wood_btu_f
            end_wood = ICE_AT_F
        air_f, wood_f, spent = end_air, end_wood, spent + power * STEP_H
        path.append((minute * STEP_H, air_f, wood_f))
        still = abs(air_f - before_air) + abs(wood_f - before_wood) < 1e-6 and not melting
        if wood_f >= to_f - WITHIN_F or still:
            break
    told = np.array(path)
    return told[:, 0], told[:, 1], told[:, 2], spent


@dataclass(frozen=True, eq=False)
class _Exact:
    """One minute of the two bodies at steady power, solved exactly: exp(A t) and its integral."""

    bodies: TwoBodies
    melting: bool
    after: Floats
    pushed: Floats
    summed: Floats

    def move(self, air_f: float, wood_f: float, power_btuh: float, outdoor_f: float) -> tuple[float, float, float]:
        """Return air and wood after a minute, and the air's mean over it."""
        state = np.array([air_f, wood_f])
        push = np.array([(power_btuh + self.bodies.loss_btuh_f * outdoor_f) / self.bodies.air_btu_f, 0.0])
        end = self.after @ state + self.pushed @ push
        mean = (self.pushed @ state + self.summed @ push) / STEP_H
        return float(end[0]), float(end[1]), float(mean[0])


def _exact(bodies: TwoBodies, *, melting: bool) -> _Exact:
    """The bodies' matrix over a minute; the wood of a melting load keeps its temperature."""
    link, loss, air = bodies.link_btuh_f, bodies.loss_btuh_f, bodies.air_btu_f
    wood_row = [0.0, 0.0] if melting else [link / bodies.wood_btu_f, -link / bodies.wood_btu_f]
    rates = np.array([[-(link + loss) / air, link / air], wood_row])
    values, vectors = np.linalg.eig(rates)
    back = np.linalg.inv(vectors)
    grown = np.exp(values * STEP_H)
    small = np.abs(values) * STEP_H < 1e-9
    safe = np.where(small, 1.0, values)
    once = np.where(small, STEP_H, (grown - 1.0) / safe)
    twice = np.where(small, STEP_H**2 / 2, (once - STEP_H) / safe)
    after, pushed, summed = (np.real(vectors @ np.diag(one) @ back) for one in (grown, once, twice))
    return _Exact(bodies, melting, after, pushed, summed)


def _held(
    bodies: TwoBodies, air_f: float, wood_f: float, to_f: float, outdoor_f: float, melting: bool
) -> tuple[float, float, float, float]:
    """A minute with the air at the set temperature: the wood closes in, the heaters give what is taken."""
    pace = 0.0 if melting else bodies.link_btuh_f / bodies.wood_btu_f * STEP_H
    end_wood = to_f - (to_f - wood_f) * math.exp(-pace)
    taken = bodies.link_btuh_f * (to_f - wood_f) if melting else bodies.wood_btu_f * (end_wood - wood_f) / STEP_H
    filling = bodies.air_btu_f * (to_f - air_f) / STEP_H
    power = taken + bodies.loss_btuh_f * (to_f - outdoor_f) + filling
    return to_f, end_wood, to_f, min(max(power, bodies.hold_btuh), bodies.power_btuh)


def _first(hours: Floats, temps_f: Floats, at_f: float) -> float | None:
    """When a temperature was first reached, straight between minutes."""
    over = np.flatnonzero(temps_f >= at_f)
    if not len(over):
        return None
    place = int(over[0])
    if place == 0:
        return 0.0
    before, after = float(temps_f[place - 1]), float(temps_f[place])
    share = (at_f - before) / (after - before)
    return float(hours[place - 1] + share * (hours[place] - hours[place - 1]))
