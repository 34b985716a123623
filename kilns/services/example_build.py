"""The example kiln of the physics as parts and fields: a place to start a sheet from."""

from kilns.models import DeviceKind, Part
from kilns.physics import example_kiln as example
from kilns.services.kiln_build import Build, CircuitTold, DeviceTold, LayerTold, SurfaceTold
from kilns.services.kilns import KilnFields

# Every size and power is a choice for the example (common practice, no source), the same as `physics.example_kiln`;
# tests hold the two together. The fan's points are made up for the example: the maker's own belong here.
FAN_POINTS = ((0.0, 600.0), (0.05, 520.0), (0.1, 400.0), (0.15, 200.0))
FAN_LIMIT_F = 150.0  # motors outside the hot air, or rated for it: the nameplate decides


def example_fields() -> KilnFields:
    """The sizes of the example kiln: 4 x 12 ft inside, a glazed roof of 55° to the south."""
    return {
        "chamber_length_ft": example.LONG_FT, "chamber_width_ft": example.DEEP_FT,
        "chamber_volume_ft3": round(example.VOLUME_FT3, 1), "stack_length_ft": 10.0, "stack_width_ft": 3.0,
        "stack_height_ft": 4.0, "air_changes_per_h": 0.5, "vent_cfm": 0.0, "structure_btu_f": 150.0,
        "glazing_tilt_deg": example.PITCH_DEG, "glazing_facing_deg": 180.0, "hottest_f": 120.0,
    }  # fmt: skip


def example_build() -> Build:
    """The parts of the example kiln, on three circuits of 20 A."""
    ply = LayerTold("plywood", 0.5)
    lining = LayerTold("plywood", 0.5, vapour_barrier=True)
    walls_ft2 = (example.LONG_FT + example.DEEP_FT) * (example.FRONT_FT + example.BACK_FT)
    surfaces = (
        SurfaceTold(Part.WALL, "back, front and end walls", round(walls_ft2, 1),
                    (lining, LayerTold("polyiso", 3.0), ply)),
        SurfaceTold(Part.FLOOR, "floor", example.DEEP_FT * example.LONG_FT,
                    (LayerTold("plywood", 0.75, vapour_barrier=True), LayerTold("xps", 2.0))),
        SurfaceTold(Part.GLAZING, "glazed roof", round(example.GLAZING_FT2, 1), (LayerTold("twin-wall-10"),)),
    )  # fmt: skip
    circuits = (CircuitTold("Heater one", 20), CircuitTold("Heater two", 20), CircuitTold("Fans and dehumidifier", 20))
    devices = (
        DeviceTold(DeviceKind.HEATER, "Heater, left", 1500, circuit="Heater one"),
        DeviceTold(DeviceKind.HEATER, "Heater, right", 1500, circuit="Heater two"),
        DeviceTold(DeviceKind.FAN, "Fan", 50, count=4, circuit="Fans and dehumidifier", limit_f=FAN_LIMIT_F,
                   curve=FAN_POINTS),
        DeviceTold(DeviceKind.DEHUMIDIFIER, "Dehumidifier", 620, circuit="Fans and dehumidifier", limit_f=120.0,
                   pints_per_day=50.0, litres_per_kwh=1.6),
    )  # fmt: skip
    return Build(surfaces, circuits, devices)
