"""The electric part of a kiln sheet: what runs on each circuit against its breaker, as a caution."""

from dataclasses import dataclass

from kilns.physics.electrical import CircuitLoad, cautions, circuit_load
from kilns.physics.working_air import working_continuous_limit
from kilns.services.kiln_build import Build, CircuitTold, DeviceTold
from kilns.services.sheet_figure import Figure, figure


@dataclass(frozen=True)
class CircuitLine:
    """A circuit, what is on it, and its load."""

    told: CircuitTold
    devices: tuple[DeviceTold, ...]
    load: Figure

    @property
    def over(self) -> bool:
        """Whether its continuous load is over the 80%."""
        found: CircuitLoad | None = self.load.value
        return bool(found and found.over)

    @property
    def share_pct(self) -> float:
        """The load as a percentage of the breaker."""
        found: CircuitLoad | None = self.load.value
        return 100.0 * found.share if found else 0.0


def circuit_lines(build: Build) -> list[CircuitLine]:
    """Every circuit with its load; heat and fans count as continuous, so does everything else on it."""
    return [_line(build, told) for told in build.circuits]


def loose_devices(build: Build) -> list[DeviceTold]:
    """Devices with power that are on no circuit of the sheet."""
    return [one for one in build.devices if not one.circuit and one.power_w]


def electric_caution() -> str:
    """The caution that defers to the local code and a licensed electrician."""
    return cautions()[0].text


def _line(build: Build, told: CircuitTold) -> CircuitLine:
    devices = tuple(one for one in build.devices if one.circuit == told.name)
    load = figure(
        lambda: circuit_load(told.breaker_a, told.volts, [one.all_w for one in devices]),
        lambda: working_continuous_limit(told.breaker_a, told.volts),
    )
    return CircuitLine(told, devices, load)
