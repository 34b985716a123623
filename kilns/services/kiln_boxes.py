"""From a kiln's rows to the physics: the box with its layers, its dehumidifier, its fans and its glazing."""

from dataclasses import dataclass

from kilns.models import DeviceKind, Kiln, Part
from kilns.physics.airflow import FanCurve, fan_curve
from kilns.physics.dehumidifier import ROOM_UNIT_LIMIT_F, Dehumidifier
from kilns.physics.kiln_box import KilnBox
from kilns.physics.walls import Layer, Surface, layer, material
from kilns.services.kiln_build import Build, DeviceTold, LayerTold, SurfaceTold, build_of

USUAL_LIGHT_SHARE = 0.8
# of the light through twin-wall, taken where the table has no figure for a sheet (GLAZING-TABLES, read)
USUAL_L_PER_KWH = 1.6
# litres a kWh where the nameplate is not told (common practice, no source)


@dataclass(frozen=True)
class Glazing:
    """The glazing as a collector: its area and the light that it lets through; `guessed` where the table has none."""

    area_ft2: float
    light_share: float
    guessed: bool


def box_of(kiln: Kiln, *, elevation_ft: float = 0.0, build: Build | None = None) -> KilnBox:
    """Return the physics' box of a kiln.

    Parameters: elevation_ft of the yard; build where it is at hand already, or is tried out. Errors: OutsideRange.
    """
    parts = build or build_of(kiln)
    limits = [one.limit_f for one in parts.of_kind(DeviceKind.FAN) if one.limit_f is not None]
    return KilnBox(
        surfaces=tuple(surface_of(one) for one in parts.surfaces),
        volume_ft3=kiln.chamber_volume_ft3,
        air_changes_per_h=kiln.air_changes_per_h,
        heater_w=sum(one.all_w for one in parts.of_kind(DeviceKind.HEATER)),
        fan_w=sum(one.all_w for one in parts.of_kind(DeviceKind.FAN)),
        vent_cfm=kiln.vent_cfm,
        dehumidifier=dehumidifier_of(parts),
        structure_btu_f=kiln.structure_btu_f,
        elevation_ft=elevation_ft,
        fan_limit_f=min(limits) if limits else None,
    )


def surface_of(told: SurfaceTold) -> Surface:
    """Return one surface; a published sheet has its air films in its R already."""
    films = not any(one.material_key and not material(one.material_key).by_the_inch for one in told.layers)
    return Surface(told.name, told.area_ft2, tuple(layer_of(one) for one in told.layers), films=films)


def layer_of(told: LayerTold) -> Layer:
    """Return one layer. Errors: OutsideRange for a material by the inch without its thickness."""
    if told.material_key:
        return layer(told.material_key, told.thickness_in, vapour_barrier=told.vapour_barrier)
    own_r = told.own_r_value or 0.0
    return Layer(told.own_name or "own material", own_r, own_r, told.own_limit_f, told.vapour_barrier)


def dehumidifier_of(build: Build) -> Dehumidifier | None:
    """Return all dehumidifiers of a kiln as one: pints summed, the least hot-proof one decides; None without any."""
    units = [one for one in build.of_kind(DeviceKind.DEHUMIDIFIER) if one.pints_per_day]
    if not units:
        return None
    pints = sum(one.count * one.pints_per_day for one in units)
    per_kwh = sum(one.count * one.pints_per_day / (one.litres_per_kwh or USUAL_L_PER_KWH) for one in units)
    hottest = min(ROOM_UNIT_LIMIT_F if one.limit_f is None else one.limit_f for one in units)
    return Dehumidifier(pints, pints / per_kwh, hottest_f=hottest)


def fans_curve(build: Build) -> FanCurve | None:
    """Return the curve of all fans side by side, as far as every one of them has points; None without any.

    Errors: OutsideRange for points that no fan has.
    """
    fans: list[tuple[DeviceTold, FanCurve]] = [
        (one, fan_curve(one.curve)) for one in build.of_kind(DeviceKind.FAN) if one.curve
    ]
    if not fans:
        return None
    low = max(curve.static_in[0] for _, curve in fans)
    high = min(curve.static_in[-1] for _, curve in fans)
    pressures = sorted({one for _, curve in fans for one in curve.static_in if low <= one <= high})
    return fan_curve([(one, sum(told.count * curve.cfm_at(one) for told, curve in fans)) for one in pressures])


def glazing_of(build: Build) -> Glazing | None:
    """Return the glazing of a kiln as a collector, or None where it has none."""
    panes = [one for one in build.surfaces if one.part == Part.GLAZING]
    if not panes:
        return None
    area = sum(one.area_ft2 for one in panes)
    shares = [_light_share(one) for one in panes]
    through = sum(one.area_ft2 * (share or USUAL_LIGHT_SHARE) for one, share in zip(panes, shares, strict=True))
    return Glazing(area, through / area, any(share is None for share in shares))


def _light_share(told: SurfaceTold) -> float | None:
    """What a pane's sheets let through one after the other; None where the table does not say."""
    share = 1.0
    for one in told.layers:
        known = material(one.material_key).light_share if one.material_key else None
        if known is None:
            return None
        share *= known
    return share if told.layers else None
