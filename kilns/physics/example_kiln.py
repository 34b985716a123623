"""A small kiln as yards build it, to start a kiln sheet from: 4 x 12 ft, a south roof of 55°, two heaters.

Every size and power here is a choice for the example (common practice, no source); the owner enters the real ones.
"""

import math

from kilns.physics.dehumidifier import Dehumidifier
from kilns.physics.kiln_box import KilnBox
from kilns.physics.walls import Surface, layer

DEEP_FT, LONG_FT, FRONT_FT, PITCH_DEG = 4.0, 12.0, 1.5, 55.0
# ft, °: inside depth and length, height of the south wall, pitch of the glazed roof
GLAZING_FT2 = DEEP_FT / math.cos(math.radians(PITCH_DEG)) * LONG_FT
BACK_FT = FRONT_FT + DEEP_FT * math.tan(math.radians(PITCH_DEG))
VOLUME_FT3 = DEEP_FT * LONG_FT * (FRONT_FT + BACK_FT) / 2


def small_kiln(night_cover: bool = False) -> KilnBox:
    """Return the example kiln, with or without an insulated cover over its glazing (2 in of XPS).

    Two heaters of 1,500 W, four fans of 50 W, a 50-pint dehumidifier that may stand in 120 °F (a room unit may not: the
    nameplate decides), half an air change an hour.

    >>> small_kiln().heater_w, small_kiln(night_cover=True).wall_btuh_f() < small_kiln().wall_btuh_f() / 2
    (3000.0, True)
    """
    wall = (layer("plywood", 0.5), layer("polyiso", 3.0), layer("plywood", 0.5))
    floor = (layer("plywood", 0.75), layer("xps", 2.0))
    sheet = (layer("twin-wall-10"),)
    glazing = (*sheet, layer("xps", 2.0)) if night_cover else sheet
    ends_ft2 = 2 * DEEP_FT * (FRONT_FT + BACK_FT) / 2
    surfaces = (
        Surface("back, front and end walls", LONG_FT * (FRONT_FT + BACK_FT) + ends_ft2, wall),
        Surface("floor", DEEP_FT * LONG_FT, floor),
        Surface("glazed roof", GLAZING_FT2, glazing, films=False),
    )
    return KilnBox(
        surfaces, VOLUME_FT3, air_changes_per_h=0.5, heater_w=3000.0, fan_w=200.0,
        dehumidifier=Dehumidifier(50.0, 1.6, hottest_f=120.0), structure_btu_f=150.0,
    )  # fmt: skip
