"""Pin meters: the temperature correction of a resistance reading, and whether it may be believed at all."""

import math
from dataclasses import dataclass

from yard.wood.ranges import OutsideRange, require_range

READING_LOWEST_PCT = 7.0
READING_HIGHEST_PCT = 28.0
# %; drier wood barely conducts, wetter wood is past fibre saturation, where resistance hardly changes with MC
# (Wood Handbook and extension texts, from memory)

WOOD_COLDEST_F = -4.0
WOOD_HOTTEST_F = 140.0
# °F; -20 to 60 °C: where the correction was fitted (from memory)

PIN_MEAN_SHARE = 0.22
# of the thickness: pins so deep read about the mean of a board that dries (PIN-DEPTH, from memory);
# 0.211 for a parabola (mathematics)

DRY_ADVICE = "Under 7% pins read nothing usable: weigh a sample instead"
WET_ADVICE = "Over 28% pins read nothing usable: weigh a sample, or dry a section in the oven"


@dataclass(frozen=True, slots=True)
class PinReading:
    """A pin reading with what may be made of it: `corrected_pct` only where it is usable, else why not."""

    reading_pct: float
    wood_temp_f: float
    corrected_pct: float | None
    usable: bool
    reason: str


def meter_corrected_pct(reading_pct: float, wood_temp_f: float) -> float:
    """Correct a resistance meter's reading for the temperature of the wood, on the Douglas-fir scale.

    Parameters: `reading_pct` as the meter shows it [%], 7 to 28; `wood_temp_f` of the wood itself [°F],
    -4 to 140. Returns corrected MC [%]; no species correction is made. Raises OutsideRange.
    Source: PFAFF-GARRAHAN, form and constants from memory, check against the publication.
    Check: near 22 °C the correction is nothing (from memory).

    >>> abs(meter_corrected_pct(12, 71.6) - 12) < 0.1
    True
    """
    require_range("meter reading", reading_pct, 0.0, 100.0, "%")
    hint = DRY_ADVICE if reading_pct < READING_LOWEST_PCT else WET_ADVICE
    require_range("meter reading", reading_pct, READING_LOWEST_PCT, READING_HIGHEST_PCT, "%", hint)
    hint = "Measure the wood's own temperature; let hot or frozen wood come nearer to room temperature"
    require_range("wood temperature", wood_temp_f, WOOD_COLDEST_F, WOOD_HOTTEST_F, "°F", hint)
    temp_c = (wood_temp_f - 32.0) / 1.8
    shifted = reading_pct + 0.567 - 0.0260 * temp_c + 0.000051 * temp_c**2
    return shifted / (0.881 * math.exp(temp_c * math.log(1.0056)))


def pin_reading(reading_pct: float, wood_temp_f: float) -> PinReading:
    """Judge a pin reading: corrected and usable, or kept without weight and why.

    Parameters: as `meter_corrected_pct`, but any figure a meter can show is taken: 0 to 100% and any
    wood temperature from -60 to 300 °F. Returns a PinReading. Raises OutsideRange beyond that.
    Source: as `meter_corrected_pct`. Check: the limits of 7 and 28% (from memory).

    >>> pin_reading(35, 60).usable, pin_reading(35, 60).reason[:39]
    (False, 'Meter reading 35% is outside 7 to 28%. ')
    """
    require_range("meter reading", reading_pct, 0.0, 100.0, "%")
    require_range("wood temperature", wood_temp_f, -60.0, 300.0, "°F")
    try:
        corrected = meter_corrected_pct(reading_pct, wood_temp_f)
        require_range("corrected reading", corrected, None, READING_HIGHEST_PCT, "%", WET_ADVICE)
        require_range("corrected reading", corrected, READING_LOWEST_PCT, None, "%", DRY_ADVICE)
    except OutsideRange as refused:
        text = str(refused)
        return PinReading(reading_pct, wood_temp_f, None, False, text[0].upper() + text[1:])
    return PinReading(reading_pct, wood_temp_f, corrected, True, "")
