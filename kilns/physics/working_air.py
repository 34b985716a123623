"""Show the working of air, water, current and sun in a kiln: any of these figures opened up."""

from collections.abc import Sequence
from dataclasses import replace

from kilns.physics import airflow, dehumidifier, electrical, solar
from kilns.physics.dehumidifier import Dehumidifier
from kilns.physics.load_heat import Load
from yard.wood.working import Input, Working, work_out


def working_air_needed(open_area_ft2: float, speed_fpm: float) -> Working:
    """Open up the air that the fans must move. Arguments as `airflow.air_needed_cfm`.

    >>> working_air_needed(16.0, 250.0).result
    4000.0
    """
    arguments = {
        "open_area_ft2": (open_area_ft2, "open area between the courses", "ft²"),
        "speed_fpm": (speed_fpm, "speed through the stack", "ft/min"),
    }
    return work_out("Air needed", "open area × speed", airflow.air_needed_cfm, arguments, "ft³/min", "PACKAGE-FORMULA")


def working_speed(air_cfm: float, open_area_ft2: float, bypass_share: float = 0.0) -> Working:
    """Open up the speed that fans give. Arguments as `airflow.speed_fpm`.

    >>> working_speed(4000.0, 16.0).result
    250.0
    """
    arguments = {
        "air_cfm": (air_cfm, "air of all fans at their static pressure", "ft³/min"),
        "open_area_ft2": (open_area_ft2, "open area between the courses", "ft²"),
        "bypass_share": (bypass_share, "share that slips round the stack", ""),
    }
    formula = "air × (1 − what slips round)/open area"
    return work_out("Speed through the stack", formula, airflow.speed_fpm, arguments, "ft/min", "PACKAGE-FORMULA")


def working_continuous_limit(breaker_a: float, volts: float) -> Working:
    """Open up the continuous load that a circuit may carry. Arguments as `electrical.continuous_limit_w`.

    >>> working_continuous_limit(20, 120).result
    1920.0
    """
    arguments = {"breaker_a": (breaker_a, "breaker", "A"), "volts": (volts, "voltage", "V")}
    return work_out(
        "Most continuous load", "0.8 × breaker × voltage", electrical.continuous_limit_w, arguments, "W", "NEC-210",
        None, (electrical.cautions()[0].text,),
    )  # fmt: skip


def working_dehumidifier(unit: Dehumidifier, temp_f: float, rh_pct: float) -> Working:
    """Open up what a dehumidifier takes out in a day. Arguments as `dehumidifier.capacity_lb_per_day`.

    >>> working_dehumidifier(Dehumidifier(50, 1.6), 80, 60).inputs[0].name
    'rated capacity'
    """
    arguments = {
        "unit": (unit, "unit", ""), "temp_f": (temp_f, "kiln air", "°F"), "rh_pct": (rh_pct, "humidity", "%"),
    }  # fmt: skip
    formula = "rated pints × 1.043 lb × (water in the air/water in the rated air)^0.7; nothing above its hottest air"
    opened = work_out(
        "Water that the dehumidifier takes", formula, dehumidifier.capacity_lb_per_day, arguments, "lb a day",
        "DEHUMIDIFIER-RATINGS", None, ("Rough: the maker's own curve beats it",),
    )  # fmt: skip
    rated = (
        Input("rated capacity", unit.pints_per_day, "pints a day"),
        Input("rated air", f"{unit.rated_temp_f:g} °F, {unit.rated_rh_pct:g}%"),
        Input("hottest air", unit.hottest_f, "°F"),
    )
    return replace(opened, inputs=(*rated, *opened.inputs[1:]))


def working_mc_at_most(load: Load, condensate_lb: float) -> Working:
    """Open up the most that a load can hold after what was caught. Arguments as `dehumidifier.mc_at_most_pct`.

    >>> round(working_mc_at_most(Load("oak-northern-red", 500, 1, 50), 145.6).result, 1)
    40.0
    """
    arguments = {"load": (load, "load", ""), "condensate_lb": (condensate_lb, "condensate caught", "lb")}
    formula = "moisture content before − 100 × condensate/dry weight; the rest left by vents and leaks"
    opened = work_out("Most that the load can hold", formula, dehumidifier.mc_at_most_pct, arguments, "%", "WH-GTR282")
    before = (Input("dry weight", round(load.dry_lb), "lb"), Input("moisture content before", load.mc_pct, "%"))
    return replace(opened, inputs=(*before, *opened.inputs[1:]))


def tilted_btu_ft2(
    lat_deg: float, tilt_deg: float, month: int, global_wh_m2: Sequence[float], diffuse: Sequence[float] | None = None
) -> float:
    """Return a month's radiation on a collector facing the equator [Btu/ft² a day]. As `solar.monthly_radiation`.

    >>> tilted_btu_ft2(45, 55, 1, [1700.0] * 12) > 500
    True
    """
    azimuth = 0.0 if lat_deg >= 0 else 180.0
    return solar.monthly_radiation(lat_deg, tilt_deg, global_wh_m2, azimuth, diffuse=diffuse)[month - 1].tilted_btu_ft2


def working_tilted(
    lat_deg: float, tilt_deg: float, month: int, global_wh_m2: Sequence[float], diffuse: Sequence[float] | None = None
) -> Working:
    """Open up a month's sun on a collector. Arguments as `tilted_btu_ft2`.

    >>> working_tilted(45, 55, 1, [1700.0] * 12).unit
    'Btu/ft² a day'
    """
    arguments = {
        "lat_deg": (lat_deg, "latitude", "°"), "tilt_deg": (tilt_deg, "tilt", "°"), "month": (month, "month", ""),
        "global_wh_m2": (tuple(global_wh_m2), "on the flat", "Wh/m² a day"), "diffuse": (diffuse, "diffuse", ""),
    }  # fmt: skip
    formula = "over the hours of the average day: beam × cos i/cos z + sky (Hay and Davies) + ground 0.2"
    opened = work_out("Sun on the collector", formula, tilted_btu_ft2, arguments, "Btu/ft² a day", "HAY-DAVIES-1980")
    flat = Input("on the flat in that month", round(global_wh_m2[month - 1]), "Wh/m² a day")
    return replace(opened, inputs=(*opened.inputs[:3], flat))


def bf_per_ft2(board_feet_bf: float, glazing_ft2: float) -> float:
    """Return the footage a square foot of collector. As `solar.collector_load`.

    >>> bf_per_ft2(450, 45)
    10.0
    """
    return solar.collector_load(board_feet_bf, glazing_ft2).bf_per_ft2


def working_collector_load(board_feet_bf: float, glazing_ft2: float) -> Working:
    """Open up a load against the collector.

    >>> working_collector_load(450, 45).result
    10.0
    """
    arguments = {
        "board_feet_bf": (board_feet_bf, "footage", "bf"), "glazing_ft2": (glazing_ft2, "glazing", "ft²"),
    }  # fmt: skip
    notes = ("At most 10 bf of 4/4 a square foot; thicker stock may have more",)
    return work_out(
        "Footage a square foot of collector", "footage/glazing", bf_per_ft2, arguments, "bf/ft²", "WENGERT-MEYER",
        None, notes,
    )  # fmt: skip
