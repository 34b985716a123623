"""A kiln's build as plain parts: what forms hand over, what the database keeps, what the physics are made from."""

from dataclasses import dataclass

from kilns.models import DeviceKind, Kiln, Part
from kilns.physics.walls import material


@dataclass(frozen=True)
class LayerTold:
    """One layer: a published material by key and thickness, or one of one's own with its R."""

    material_key: str = ""
    thickness_in: float | None = None
    own_name: str = ""
    own_r_value: float | None = None
    own_limit_f: float | None = None
    vapour_barrier: bool = False

    @property
    def words(self) -> str:
        """The layer in a few words, for history and lists."""
        if not self.material_key:
            return f"{self.own_name or 'own material'}, R {self.own_r_value or 0:g}"
        name = material(self.material_key).name
        return f"{name} {self.thickness_in:g} in" if self.thickness_in is not None else name


@dataclass(frozen=True)
class SurfaceTold:
    """One part of the box; layers from inside to outside."""

    part: str
    name: str
    area_ft2: float
    layers: tuple[LayerTold, ...] = ()
    pk: int | None = None

    @property
    def words(self) -> str:
        """The surface in a few words, for history."""
        layers = "; ".join(one.words for one in self.layers) or "no layers"
        return f"{Part(self.part).label}: {self.name}, {self.area_ft2:g} ft²: {layers}"


@dataclass(frozen=True)
class CircuitTold:
    """A circuit by its breaker; devices name it."""

    name: str
    breaker_a: float
    volts: float = 120.0

    @property
    def words(self) -> str:
        """The circuit in a few words, for history."""
        return f"{self.name}: {self.breaker_a:g} A at {self.volts:g} V"


@dataclass(frozen=True)
class DeviceTold:
    """A device by its nameplate; `circuit` is a circuit's name, or empty."""

    kind: str
    name: str
    power_w: float
    count: int = 1
    circuit: str = ""
    limit_f: float | None = None
    curve: tuple[tuple[float, float], ...] = ()
    pints_per_day: float | None = None
    litres_per_kwh: float | None = None

    @property
    def all_w(self) -> float:
        """The power of all of them."""
        return self.count * self.power_w

    @property
    def words(self) -> str:
        """The device in a few words, for history."""
        on = f" on {self.circuit}" if self.circuit else ""
        more = [f"{self.pints_per_day:g} pints a day" if self.pints_per_day else ""]
        more.append(f"up to {self.limit_f:g} °F" if self.limit_f is not None else "")
        more.append(f"curve {curve_words(self.curve)}" if self.curve else "")
        return ", ".join([f"{self.count} x {self.name} {self.power_w:g} W{on}", *(one for one in more if one)])

    @property
    def kind_words(self) -> str:
        """Its kind as spoken."""
        return DeviceKind(self.kind).label


@dataclass(frozen=True)
class Build:
    """Everything that a kiln is made of."""

    surfaces: tuple[SurfaceTold, ...] = ()
    circuits: tuple[CircuitTold, ...] = ()
    devices: tuple[DeviceTold, ...] = ()

    def of_kind(self, kind: str) -> tuple[DeviceTold, ...]:
        """The devices of a kind."""
        return tuple(one for one in self.devices if one.kind == kind)


def build_of(kiln: Kiln) -> Build:
    """Read a kiln's parts from the database, in a fixed number of queries."""
    surfaces = kiln.surfaces.prefetch_related("layers")
    devices = kiln.devices.select_related("circuit")
    return Build(
        tuple(
            SurfaceTold(one.part, one.name, one.area_ft2, tuple(_layer(row) for row in one.layers.all()), one.pk)
            for one in surfaces
        ),
        tuple(CircuitTold(one.name, one.breaker_a, one.volts) for one in kiln.circuits.all()),
        tuple(_device(one) for one in devices),
    )


def curve_words(curve: tuple[tuple[float, float], ...]) -> str:
    """A fan's points as people type them: `0: 2000; 0.1: 1700`."""
    return "; ".join(f"{static:g}: {air:g}" for static, air in curve)


def _layer(row) -> LayerTold:
    names = ("material_key", "thickness_in", "own_name", "own_r_value", "own_limit_f", "vapour_barrier")
    return LayerTold(**{name: getattr(row, name) for name in names})


def _device(row) -> DeviceTold:
    names = ("kind", "name", "power_w", "count", "limit_f", "pints_per_day", "litres_per_kwh")
    curve = tuple((float(static), float(air)) for static, air in row.curve)
    circuit = row.circuit.name if row.circuit else ""
    return DeviceTold(curve=curve, circuit=circuit, **{name: getattr(row, name) for name in names})
