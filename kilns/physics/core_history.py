"""What the core of a board did in the air that a chamber's sensors measured, and how long it stayed hot.

    history = core_history(minutes, dry_bulb_f, "oak-northern-red", 2.0, 8.0, 12.0, start_f=50.0)
    history.proved, history.longest_hold_min

Wet wood is followed at its wet bulb, since it cools itself by evaporation; where no wet bulb can prove the
heat, no time is given and a core probe is asked for.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kilns.physics.cross_section import CrossSection
from kilns.physics.heating import CORE_F, M_PER_IN, THICKEST_IN, THINNEST_IN, WET_FROM_PCT
from kilns.physics.wood_heat import wood_heat
from yard.wood.humid_air import wet_bulb_f as wet_bulb_of
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.species import Species
from yard.wood.species import species as species_of

Floats = NDArray[np.float64]

HOLD_MIN = 30.0
# min at the core temperature without a break (ISPM-15, read)
USUAL_SPEED_FPM = 250.0
# ft/min through the stack (data/airflow_speeds.csv)
GAP_MIN = 15.0
# min without a reading: longer, and nobody knows the air; the clock begins anew (our own limit)
STEP_S = 60.0
# s: the chamber's air is taken as even for so long (sensors read each minute)
WET_CAUTION = "The wood is wet and cools itself: followed at the wet bulb. A probe in the core is surer."
NO_TIME = "The wood is wet and the wet bulb stays under the core temperature: only a probe in the core can tell."
NO_HUMIDITY = "The wood is wet and the wet bulb is not known: only a probe in the core can tell."


@dataclass(frozen=True, eq=False)
class CoreHistory:
    """The core's temperature at each reading, and its clock; no time is given when `needs_probe`."""

    minutes: Floats
    core_f: Floats
    longest_hold_min: float
    reached_at_min: float | None
    proved_at_min: float | None
    needs_probe: bool
    reasons: tuple[str, ...]

    @property
    def proved(self) -> bool:
        """Whether the core stayed hot long enough."""
        return self.proved_at_min is not None


@dataclass(frozen=True, slots=True)
class Hold:
    """The longest unbroken stay at or above a temperature [min], when it was first reached, when it was long enough."""

    longest_min: float
    reached_at_min: float | None
    proved_at_min: float | None


def film_w_m2_k(speed_fpm: float) -> float:
    """Return how well moving air hands its heat to a board's face.

    Parameters: `speed_fpm` [ft/min], 0 to 960. Returns [W/(m² K)]. Raises OutsideRange.
    Source: MCADAMS-1954, smooth plates below 16 ft/s, 0.99 + 0.21 V Btu/(h ft² °F), from memory (high).
    Check: 250 ft/min is 0.99 + 0.21 x 4.17 = 1.865 Btu/(h ft² °F).

    >>> round(film_w_m2_k(250.0) * 0.1761102, 3)
    1.865
    """
    require_range("air speed", speed_fpm, 0.0, 960.0, "ft/min")
    return (0.99 + 0.21 * speed_fpm / 60.0) / 0.1761102


def core_history(
    minutes: ArrayLike,
    dry_bulb_f: ArrayLike,
    species: str | Species,
    thickness_in: float,
    width_in: float,
    mc_pct: float | None,
    *,
    start_f: float,
    rh_pct: ArrayLike | None = None,
    core_f: float = CORE_F,
    hold_min: float = HOLD_MIN,
    speed_fpm: float = USUAL_SPEED_FPM,
    elevation_ft: float = 0.0,
) -> CoreHistory:
    """Follow the core of a board through measured air and say whether it stayed hot long enough.

    Parameters: `minutes` of the readings, rising; `dry_bulb_f` [°F] and `rh_pct` [%] at each; the board as in
    `heating.minutes_to_core`; `start_f` its temperature at the first reading [°F]; `core_f` [°F] and `hold_min`
    [min] to prove; `speed_fpm` air speed along its faces [ft/min]. Between readings the air changes evenly; over a
    gap longer than 15 min nobody knows the air: it is taken no warmer than the wood was at the start, the clock
    begins anew, and `reasons` tell of it.
    Returns CoreHistory. Raises UnknownSpecies, OutsideRange.
    Source: conduction as in `heating` with a film (MCADAMS-1954); ISPM-15 for 133 °F and 30 min. Wood of 25% MC
    and more is driven by the wet bulb (our own, careful choice, no source).

    >>> hot = core_history([0, 10, 600], [60, 150, 150], "oak-northern-red", 1, 6, 10, start_f=60)
    >>> hot.proved, hot.needs_probe
    (False, False)
    >>> every = list(range(0, 601, 5))
    >>> core_history(every, [150.0] * len(every), "oak-northern-red", 1, 6, 10, start_f=60).proved
    True
    """
    when, dry = _readings(minutes, dry_bulb_f)
    wood = species_of(species)
    content = wood.green_mc_average_pct if mc_pct is None else mc_pct
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    require_range("width", width_in, THINNEST_IN, THICKEST_IN, "in")
    wet = content >= WET_FROM_PCT
    medium = dry if rh_pct is None or not wet else _wet_bulbs(dry, np.asarray(rh_pct, dtype=np.float64), elevation_ft)
    heat = wood_heat(wood, content, (start_f + core_f) / 2)
    section = CrossSection(
        heat, thickness_in * M_PER_IN, width_in * M_PER_IN, start_f=start_f, film_w_m2_k=film_w_m2_k(speed_fpm)
    )
    core = _follow(section, when, medium, start_f)
    if wet and (rh_pct is None or float(medium.max()) < core_f):
        why = NO_HUMIDITY if rh_pct is None else NO_TIME
        return CoreHistory(when, core, 0.0, None, None, True, (why,))
    hold = longest_hold(when, core, core_f, hold_min)
    told = tuple(words for words in (WET_CAUTION if wet else "", gap_words(when)) if words)
    return CoreHistory(when, core, hold.longest_min, hold.reached_at_min, hold.proved_at_min, False, told)


def longest_hold(minutes: ArrayLike, temps_f: ArrayLike, at_f: float = CORE_F, hold_min: float = HOLD_MIN) -> Hold:
    """Return how long a temperature stayed at or above a figure without a break: a probe's record, or the model's.

    Parameters: `minutes` of the readings, rising; `temps_f` [°F] at each; `at_f` [°F]; `hold_min` [min]. A hold
    runs from the first reading that is hot to the last: the time between a cool and a hot reading is not counted.
    A gap of more than 15 min breaks it. Returns Hold [min]. Raises OutsideRange.
    Source: ISPM-15, 30 minutes without a break (read); the gap is our own limit.

    >>> longest_hold([0, 10, 20, 30, 40, 50], [120, 134, 134, 135, 136, 120], 133, 30)
    Hold(longest_min=30.0, reached_at_min=10.0, proved_at_min=40.0)
    """
    when, temps = _readings(minutes, temps_f)
    longest, reached, proved, since = 0.0, None, None, None
    for place, minute in enumerate(when):
        gap = place > 0 and minute - when[place - 1] > GAP_MIN
        if temps[place] < at_f:
            since = None
            continue
        since = float(minute) if since is None or gap else since
        reached = since if reached is None else reached
        longest = max(longest, float(minute) - since)
        if proved is None and minute - since >= hold_min:
            proved = since + hold_min
    return Hold(longest, reached, proved)


def gap_words(minutes: ArrayLike) -> str:
    """Return a sentence on the stretches without readings that the clock does not count; empty without any.

    Parameters: `minutes` of the readings, rising. Source: GAP_MIN, our own limit.

    >>> gap_words([0, 10, 20, 50, 60, 100])
    'Nothing was read for 40 min at the longest (2 gaps of more than 15 min): such minutes do not count.'
    """
    apart = np.diff(np.atleast_1d(np.asarray(minutes, dtype=np.float64)))
    gaps = apart[apart > GAP_MIN]
    if not len(gaps):
        return ""
    many = f"at the longest ({len(gaps)} gaps of more than {GAP_MIN:g} min)" if len(gaps) > 1 else "at a stretch"
    return f"Nothing was read for {gaps.max():.0f} min {many}: such minutes do not count."


def _follow(section: CrossSection, when: Floats, medium_f: Floats, start_f: float) -> Floats:
    """The core at each reading: between two the medium changes evenly, in steps of about a minute.

    Over a gap it is the coldest of both ends and of the start, so that no minute without readings warms the wood.
    """
    if len(when) < 2:
        return np.full(len(when), start_f)
    spans_s = np.diff(when) * 60.0
    counts = np.maximum(1, np.rint(spans_s / STEP_S)).astype(int)
    which = np.repeat(np.arange(len(spans_s)), counts)
    ends = np.cumsum(counts)
    share = (np.arange(ends[-1]) - (ends - counts)[which] + 0.5) / counts[which]
    first, last = medium_f[:-1][which], medium_f[1:][which]
    unknown = np.minimum(np.minimum(first, last), start_f)
    between = np.where(spans_s[which] > GAP_MIN * 60.0, unknown, first + (last - first) * share)
    core = section.advance_through((spans_s / counts)[which], between)
    return np.concatenate([[start_f], core[ends - 1]])


def _readings(minutes: ArrayLike, values: ArrayLike) -> tuple[Floats, Floats]:
    when = np.atleast_1d(np.asarray(minutes, dtype=np.float64))
    given = np.asarray(values, dtype=np.float64)
    read = np.broadcast_to(given, when.shape) if given.ndim == 0 else given
    if when.shape != read.shape or not len(when):
        raise OutsideRange("number of readings", len(read), len(when), len(when), "", "One for each time")
    apart = np.diff(when)
    if len(apart) and not apart.min() > 0.0:
        raise OutsideRange("minutes between readings", float(apart.min()), 0.0, None, "min", "Sort them by time")
    for one in (float(read.min()), float(read.max())):
        require_range("temperature", one, -60.0, 260.0, "°F")
    return when, np.asarray(read)


def _wet_bulbs(dry_bulb_f: Floats, rh_pct: Floats, elevation_ft: float) -> Floats:
    """The wet bulb of each reading; where a wick would freeze the dry bulb stands: nothing is proved so cold."""
    humidities = np.broadcast_to(rh_pct, dry_bulb_f.shape)
    pairs = zip(dry_bulb_f, humidities, strict=True)
    return np.array([_wet_bulb(round(float(t), 1), round(float(h), 1), elevation_ft) for t, h in pairs])


@lru_cache(maxsize=20_000)
def _wet_bulb(dry_bulb_f: float, rh_pct: float, elevation_ft: float) -> float:
    if dry_bulb_f > 210.0:
        raise OutsideRange("dry bulb", dry_bulb_f, 33.0, 210.0, "°F")
    try:
        return wet_bulb_of(dry_bulb_f, rh_pct, elevation_ft)
    except OutsideRange:
        require_range("relative humidity", rh_pct, 0.0, 100.0, "%")
        return min(dry_bulb_f, 33.0)
