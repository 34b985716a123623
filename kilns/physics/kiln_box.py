"""The kiln as built: its surfaces, its air, and what heats and moves it."""

from dataclasses import dataclass
from functools import cache

from kilns.physics.dehumidifier import Dehumidifier
from kilns.physics.tables import table
from kilns.physics.walls import LayerHeat, Surface, Which, layers_over_limit
from yard.wood.humid_air import pressure_psi
from yard.wood.ranges import require_range

BTUH_PER_W = 3.412142
# Btu/h a watt, exact from the definitions of the units
AIR_BTU_PER_FT3_F = 0.018
# Btu/(ft³ °F) of air at sea level (ASHRAE-HOF, memory high)
LEAK_LOW, LEAK_HIGH = 0.5, 2.0
# times the stated leakage: nobody measures it (our own spread)


@dataclass(frozen=True, slots=True)
class KilnBox:
    """A kiln as built. Powers are those of the nameplates [W]; `structure_btu_f` is the heat that lining, floor and
    frame inside the insulation take a degree [Btu/°F]."""

    surfaces: tuple[Surface, ...]
    volume_ft3: float
    air_changes_per_h: float
    heater_w: float = 0.0
    fan_w: float = 0.0
    vent_cfm: float = 0.0
    dehumidifier: Dehumidifier | None = None
    structure_btu_f: float = 0.0
    elevation_ft: float = 0.0
    fan_limit_f: float | None = None

    @property
    def leak_cfm(self) -> float:
        """Air that leaks in [ft³/min]: volume x changes an hour / 60."""
        require_range("volume", self.volume_ft3, 1.0, 1e6, "ft³")
        return self.volume_ft3 * require_range("air changes", self.air_changes_per_h, 0.0, 60.0, "an hour") / 60.0

    def air_btuh_f(self, leak_times: float = 1.0) -> float:
        """Heat to warm the air that leaks and is vented in, a degree [Btu/(h °F)]; thinner air takes less."""
        require_range("vent", self.vent_cfm, 0.0, 1e5, "ft³/min")
        thin = pressure_psi(self.elevation_ft) / pressure_psi(0.0)
        return AIR_BTU_PER_FT3_F * thin * 60.0 * (self.leak_cfm * leak_times + self.vent_cfm)

    def wall_btuh_f(self, of: Which = "middle") -> float:
        """Heat through all surfaces, a degree [Btu/(h °F)]."""
        return sum(one.ua_btuh_f(of) for one in self.surfaces)

    def loss_btuh_f(self, of: Which = "middle") -> float:
        """All that the box loses, a degree [Btu/(h °F)]; "low" is the leakiest it may be, "high" the tightest."""
        times = {"low": LEAK_HIGH, "middle": 1.0, "high": LEAK_LOW}[of]
        return self.wall_btuh_f(of) + self.air_btuh_f(times)

    @property
    def air_capacity_btu_f(self) -> float:
        """Heat that air and structure take a degree [Btu/°F]."""
        return AIR_BTU_PER_FT3_F * self.volume_ft3 + self.structure_btu_f


@dataclass(frozen=True, slots=True)
class EquipmentLimit:
    """The hottest air that a kind of equipment usually stands [°F], to start from: the nameplate decides."""

    key: str
    equipment: str
    limit_f: float
    note: str
    source_key: str
    provenance: str


@cache
def equipment_limits() -> tuple[EquipmentLimit, ...]:
    """The usual limits of fans and dehumidifiers, row by row of data/equipment_limits.csv, each with its source.

    >>> [(one.key, one.limit_f) for one in equipment_limits()]
    [('fan-motor', 104.0), ('room-dehumidifier', 95.0), ('kiln-dehumidifier', 150.0)]
    """
    return tuple(
        EquipmentLimit(
            row["key"], row["equipment"], float(row["limit_f"]), row["note"], row["source_key"], row["provenance"]
        )
        for row in table("equipment_limits.csv")
    )


@dataclass(frozen=True, slots=True)
class OverLimit:
    """One thing that gets hotter than it stands."""

    what: str
    hottest_f: float
    limit_f: float


def over_limits(box: KilnBox, inside_f: float, outdoor_f: float) -> tuple[OverLimit, ...]:
    """Return what gets too hot when the kiln stands at a temperature: layers, fans, dehumidifier; the worst first.

    Parameters: `inside_f` and `outdoor_f` [°F], -60 to 260. Raises OutsideRange.
    Source: limits of the layers data/insulation.csv, of fans and dehumidifier their nameplates.

    >>> from kilns.physics.walls import layer
    >>> box = KilnBox((Surface("wall", 100, (layer("eps", 3),)),), 200, 0.5, fan_limit_f=104)
    >>> [one.what for one in over_limits(box, 160, 20)]
    ['fan']
    """
    hot: list[LayerHeat] = list(layers_over_limit(box.surfaces, inside_f, outdoor_f))
    found = [OverLimit(f"{one.layer} in the {one.surface}", one.hottest_f, one.limit_f or 0.0) for one in hot]
    if box.fan_limit_f is not None and inside_f > box.fan_limit_f:
        found.append(OverLimit("fan", inside_f, box.fan_limit_f))
    if box.dehumidifier is not None and inside_f > box.dehumidifier.hottest_f:
        found.append(OverLimit("dehumidifier", inside_f, box.dehumidifier.hottest_f))
    return tuple(sorted(found, key=lambda one: one.limit_f - one.hottest_f))
