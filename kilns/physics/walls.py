"""Walls, floor, roof, doors and glazing: layers with their R-values and the temperatures that they stand."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from kilns.physics.tables import table
from yard.wood.ranges import OutsideRange, require_range

INSIDE_FILM_R = 0.68
# h ft² °F/Btu, still inside air on a wall (ASHRAE-HOF, memory high); moving kiln air makes it less: careful side
OUTSIDE_FILM_R = 0.17
# h ft² °F/Btu, outside air at 15 mph in winter (ASHRAE-HOF, read)
BARRIER_SHARE = 1 / 3
# of the wall's R may lie inside the vapour barrier (common practice, no source)


Which = Literal["low", "middle", "high"]


@dataclass(frozen=True, slots=True)
class Material:
    """An insulation or sheet as published: R an inch, or R of the whole sheet with its air films."""

    key: str
    name: str
    by_the_inch: bool
    r_low: float
    r_high: float
    limit_f: float | None
    light_share: float | None
    source_key: str
    provenance: str


@cache
def materials() -> tuple[Material, ...]:
    """The published materials, in the order of the table.

    Source: row by row in data/insulation.csv. Check: foam of polystyrene stands 165 °F (ASTM-C578, read).

    >>> material("eps").limit_f
    165.0
    """

    def number(text: str) -> float | None:
        return float(text) if text else None

    return tuple(
        Material(
            row["key"], row["name"], row["kind"] == "an inch", float(row["r_low"]), float(row["r_high"]),
            number(row["limit_f"]), number(row["light_share"]), row["source_key"], row["provenance"],
        )
        for row in table("insulation.csv")
    )  # fmt: skip


def material(key: str) -> Material:
    """Return one material by its key; a key that is not in the table is a KeyError that names those that are.

    >>> material("twin-wall-6").by_the_inch
    False
    """
    for one in materials():
        if one.key == key:
            return one
    raise KeyError(f"no material {key!r}; there are {', '.join(one.key for one in materials())}")


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a wall, inside first: its R [h ft² °F/Btu], low and high, and the most heat that it stands [°F]."""

    name: str
    r_low: float
    r_high: float
    limit_f: float | None = None
    vapour_barrier: bool = False

    @property
    def r_value(self) -> float:
        """The middle of its R [h ft² °F/Btu]."""
        return (self.r_low + self.r_high) / 2

    def r_of(self, which: Which) -> float:
        """Its R [h ft² °F/Btu], "low", "middle" or "high"."""
        return {"low": self.r_low, "middle": self.r_value, "high": self.r_high}[which]


def layer(key: str, thickness_in: float | None = None, *, vapour_barrier: bool = False) -> Layer:
    """Return a layer of a published material.

    Parameters: `key` of `materials`; `thickness_in` [in], 0.01 to 48, for those with R an inch; none for sheets,
    whose R holds the air films already. Returns Layer. Raises KeyError, OutsideRange.
    Source: as `materials`. Check: 4 in of XPS is R 20.

    >>> layer("xps", 4).r_value, layer("twin-wall-6").r_value
    (20.0, 1.57)
    """
    found = material(key)
    if not found.by_the_inch:
        return Layer(found.name, found.r_low, found.r_high, found.limit_f, vapour_barrier)
    if thickness_in is None:
        raise OutsideRange("thickness", float("nan"), 0.01, 48.0, "in", f"{found.name} has its R an inch")
    require_range("thickness", thickness_in, 0.01, 48.0, "in")
    return Layer(
        f"{found.name} {thickness_in:g} in", found.r_low * thickness_in, found.r_high * thickness_in,
        found.limit_f, vapour_barrier,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Surface:
    """A wall, floor, roof, door or glazing: its area and its layers from inside to outside.

    `films` adds the air films on both sides; a published sheet has them in its R already.
    """

    name: str
    area_ft2: float
    layers: tuple[Layer, ...]
    films: bool = True

    def r_value(self, of: Which = "middle") -> float:
        """Return R from air to air [h ft² °F/Btu]: "low", "middle" or "high"."""
        films = INSIDE_FILM_R + OUTSIDE_FILM_R if self.films else 0.0
        return films + sum(one.r_of(of) for one in self.layers)

    def ua_btuh_f(self, of: Which = "middle") -> float:
        """Return area over R [Btu/(h °F)]; of "low" R is the leakiest.

        >>> round(Surface("wall", 160.0, (layer("xps", 2),)).ua_btuh_f(), 2)
        14.75
        """
        require_range("area", self.area_ft2, 0.0, 100_000.0, "ft²")
        return self.area_ft2 / require_range(f"R of the {self.name}", self.r_value(of), 0.05, 500.0, "h ft² °F/Btu")


@dataclass(frozen=True, slots=True)
class LayerHeat:
    """A layer at work: the temperature of its warmer face, and by how much it is over what it stands [°F]."""

    surface: str
    layer: str
    hottest_f: float
    limit_f: float | None

    @property
    def over_f(self) -> float:
        """How far over its limit [°F]; 0 or less is within."""
        return self.hottest_f - self.limit_f if self.limit_f is not None else float("-inf")


def layer_temperatures(surface: Surface, inside_f: float, outdoor_f: float) -> tuple[LayerHeat, ...]:
    """Return the temperature of each layer's warmer face, inside first.

    Parameters: `inside_f` and `outdoor_f` [°F], -60 to 260. Returns LayerHeats. Raises OutsideRange.
    Source: resistances in series (ASHRAE-HOF). Check: halfway through an even wall lies half the difference.

    >>> wall = Surface("wall", 10, (layer("eps", 1), layer("eps", 1)), films=False)
    >>> [round(one.hottest_f) for one in layer_temperatures(wall, 140, 20)]
    [140, 80]
    """
    for temp_f in (inside_f, outdoor_f):
        require_range("temperature", temp_f, -60.0, 260.0, "°F")
    passed = INSIDE_FILM_R if surface.films else 0.0
    whole, found = surface.r_value(), []
    for one in surface.layers:
        inner_f = inside_f + (outdoor_f - inside_f) * passed / whole
        passed += one.r_value
        outer_f = inside_f + (outdoor_f - inside_f) * passed / whole
        found.append(LayerHeat(surface.name, one.name, max(inner_f, outer_f), one.limit_f))
    return tuple(found)


def layers_over_limit(surfaces: tuple[Surface, ...], inside_f: float, outdoor_f: float) -> tuple[LayerHeat, ...]:
    """Return the layers that get hotter than they stand, the worst first. Parameters and errors as above.

    >>> wall = Surface("wall", 10, (layer("eps", 2),))
    >>> layers_over_limit((wall,), 160, 0), len(layers_over_limit((wall,), 180, 60))
    ((), 1)
    """
    hot = [one for wall in surfaces for one in layer_temperatures(wall, inside_f, outdoor_f) if one.over_f > 0]
    return tuple(sorted(hot, key=lambda one: one.over_f, reverse=True))


def barrier_advice(surface: Surface) -> str:
    """Return what to know of a wall's vapour barrier: which side, or that there is none; empty when all is well.

    Source: barrier on the warm side, at most a third of the R inside it (common practice, no source).

    >>> barrier_advice(Surface("wall", 10, (layer("plywood", 0.5), layer("xps", 4))))
    'The wall has no vapour barrier: wet kiln air condenses in the insulation'
    """
    barriers = [place for place, one in enumerate(surface.layers) if one.vapour_barrier]
    if not barriers:
        return f"The {surface.name} has no vapour barrier: wet kiln air condenses in the insulation"
    inside_r = sum(one.r_value for one in surface.layers[: barriers[0]])
    if inside_r > BARRIER_SHARE * sum(one.r_value for one in surface.layers):
        return f"The vapour barrier of the {surface.name} lies on the cold side: put it near the kiln's air"
    return ""
