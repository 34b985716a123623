"""Humidity by the two bulbs of a sensor, where the psychrometer can tell it."""

from yard.wood.humid_air import rh_pct_from_wet_bulb
from yard.wood.ranges import OutsideRange


def rh_pct_read(dry_bulb_f: float | None, wet_bulb_f: float | None, elevation_ft: float) -> float | None:
    """Return the relative humidity [%], or None where a bulb was not read or the air is out of range.

    A wick that reads a little over the dry bulb, as sensors do in wet air, stands for wet air.
    Source: as `rh_pct_from_wet_bulb`.
    """
    if dry_bulb_f is None or wet_bulb_f is None:
        return None
    try:
        return float(rh_pct_from_wet_bulb(dry_bulb_f, min(dry_bulb_f, wet_bulb_f), elevation_ft))
    except OutsideRange:
        return None
