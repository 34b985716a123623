"""Show the working of moisture, air, weight, shrinkage and drying rate: any of these figures opened up."""

from collections.abc import Sequence
from dataclasses import replace

from yard.wood import density, humid_air, meters, moisture, safe_rate, shrinkage
from yard.wood.safe_rate import SafeRate
from yard.wood.shrinkage import Cut, Direction
from yard.wood.species import Species
from yard.wood.species import species as species_of
from yard.wood.working import Working, work_out

EMC_FORMULA = (
    "EMC = 1800/W × (K h/(1 − K h) + (K1 K h + 2 K1 K2 K² h²)/(1 + K1 K h + K1 K2 K² h²)), "
    "T in °C, h = RH/100; W = 349 + 1.29 T + 0.0135 T²; K = 0.805 + 0.000736 T − 0.00000273 T²; "
    "K1 = 6.27 − 0.00938 T − 0.000303 T²; K2 = 1.91 + 0.0407 T − 0.000293 T²"
)
WICK_FORMULA = (
    "RH = 100 e/es(t), e = es(tw) − 0.00066 (1 + 0.00115 tw) p (t − tw), t and tw in °C, es and p in kPa; "
    "es is the vapour pressure of water, p the air pressure at the elevation"
)
FROM_MEMORY = "memory high; check against the publication"


def working_mc(wet_lb: float, oven_dry_lb: float) -> Working:
    """Open up a moisture content from a weight and an oven-dry weight. Arguments as `moisture.mc_pct`.

    >>> working_mc(30, 20).result
    50.0
    """
    arguments = {"wet_lb": (wet_lb, "weight now", "lb"), "oven_dry_lb": (oven_dry_lb, "oven-dry weight", "lb")}
    formula = "MC = 100 × (weight now − oven-dry weight)/oven-dry weight"
    return work_out("Moisture content", formula, moisture.mc_pct, arguments, "%", "WH-GTR190", "read")


def working_oven_dry(board_lb: float, section_mcs_pct: Sequence[float]) -> Working:
    """Open up a sample's oven-dry weight. Arguments as `moisture.sample_oven_dry_lb`.

    >>> round(working_oven_dry(4.46, [92.4]).result, 2)
    2.32
    """
    arguments = {
        "board_lb": (board_lb, "weight of the sample when the sections were cut", "lb"),
        "section_mcs_pct": (tuple(section_mcs_pct), "moisture content of the oven-dried sections", "%"),
    }
    return work_out(
        "Oven-dry weight of a sample",
        "oven-dry weight = weight/(1 + MC/100), MC the mean of the sections",
        moisture.sample_oven_dry_lb,
        arguments,
        "lb",
        "WENGERT-OAK",
    )


def working_sample_mc(board_lb: float, first_lb: float, section_mcs_pct: Sequence[float]) -> Working:
    """Open up a sample's moisture content now. Arguments as `moisture.sample_mc_pct`.

    >>> round(working_sample_mc(4.14, 4.46, [92.4]).result, 1)
    78.6
    """
    arguments = {
        "board_lb": (board_lb, "weight of the sample now", "lb"),
        "first_lb": (first_lb, "weight of the sample when the sections were cut", "lb"),
        "section_mcs_pct": (tuple(section_mcs_pct), "moisture content of the oven-dried sections", "%"),
    }
    return work_out(
        "Moisture content of a sample",
        "MC = 100 × (weight now/oven-dry weight − 1), oven-dry weight = first weight/(1 + MC of the sections/100)",
        moisture.sample_mc_pct,
        arguments,
        "%",
        "WENGERT-OAK",
    )


def working_emc(temp_f: float, rh_pct: float) -> Working:
    """Open up an equilibrium moisture content. Arguments as `moisture.equilibrium_mc_pct`.

    >>> round(working_emc(70, 65).result, 1)
    12.0
    """
    arguments = {"temp_f": (temp_f, "temperature", "°F"), "rh_pct": (rh_pct, "relative humidity", "%")}
    notes: tuple[str, ...] = ()
    if temp_f < 30.0:
        notes = ("Colder than the printed table (30 °F): the equation carried on, held from -10 °F down",)
    return work_out(
        "Equilibrium moisture content",
        EMC_FORMULA,
        moisture.equilibrium_mc_pct,
        arguments,
        "%",
        "WH-GTR190",
        "read",
        notes,
    )


def working_rh_from_wet_bulb(dry_bulb_f: float, wet_bulb_f: float, elevation_ft: float = 0) -> Working:
    """Open up a relative humidity from two bulbs. Arguments as `humid_air.rh_pct_from_wet_bulb`.

    >>> round(working_rh_from_wet_bulb(120, 100).result)
    49
    """
    arguments = {
        "dry_bulb_f": (dry_bulb_f, "dry bulb", "°F"),
        "wet_bulb_f": (wet_bulb_f, "wet bulb (wick)", "°F"),
        "elevation_ft": (elevation_ft, "elevation", "ft"),
    }
    return work_out(
        "Relative humidity from a wet bulb",
        WICK_FORMULA,
        humid_air.rh_pct_from_wet_bulb,
        arguments,
        "%",
        "PSYCHROMETER",
        FROM_MEMORY,
    )


def working_meter(reading_pct: float, wood_temp_f: float) -> Working:
    """Open up a pin reading's temperature correction. Arguments as `meters.meter_corrected_pct`.

    >>> working_meter(12, 40).result > 12
    True
    """
    arguments = {
        "reading_pct": (reading_pct, "meter reading", "%"),
        "wood_temp_f": (wood_temp_f, "temperature of the wood", "°F"),
    }
    return work_out(
        "Pin reading corrected for temperature",
        "MC = (reading + 0.567 − 0.026 t + 0.000051 t²)/(0.881 × 1.0056^t), t in °C",
        meters.meter_corrected_pct,
        arguments,
        "%",
        "PFAFF-GARRAHAN",
        FROM_MEMORY,
        ("For Douglas-fir: no species correction is made",),
    )


def working_board_weight(
    species: str | Species, thickness_in: float, width_in: float, length_ft: float, mc_pct: float
) -> Working:
    """Open up a board's weight. Arguments as `density.board_weight_lb`.

    >>> round(working_board_weight("oak-northern-red", 2.125, 12, 10, 80).result)
    111
    """
    wood = species_of(species)
    arguments = {
        "species": (wood.key, "species", ""),
        "thickness_in": (thickness_in, "thickness as sawn green", "in"),
        "width_in": (width_in, "width as sawn green", "in"),
        "length_ft": (length_ft, "length", "ft"),
        "mc_pct": (mc_pct, "moisture content", "%"),
    }
    return work_out(
        "Weight of a board",
        "weight = thickness × width × length/144 × 62.4 × G × (1 + MC/100), sizes in in, in and ft",
        density.board_weight_lb,
        arguments,
        "lb",
        "WH-GTR282",
        wood.basic_specific_gravity_provenance,
        (f"G = {wood.basic_specific_gravity:g}, {wood.basic_specific_gravity_source}",),
    )


def working_shrinkage(species: str | Species, direction: Direction, mc_pct: float) -> Working:
    """Open up a shrinkage. Arguments as `shrinkage.shrinkage_pct`.

    >>> round(working_shrinkage("ash-white", "volumetric", 12).result, 2)
    7.98
    """
    wood = species_of(species)
    total = shrinkage.total_shrinkage(wood, direction)
    arguments = {
        "species": (wood.key, "species", ""),
        "direction": (direction, "direction", ""),
        "mc_pct": (mc_pct, "moisture content", "%"),
    }
    return work_out(
        "Shrinkage from green",
        "S = S0 × (1 − MC/FSP), nothing above fibre saturation (FSP)",
        shrinkage.shrinkage_pct,
        arguments,
        "%",
        "WH-GTR190",
        total.provenance,
        _shrinkage_notes(wood, total),
    )


def working_net_board_feet(species: str | Species, gross_bf: float, mc_pct: float, cut: Cut = "flat") -> Working:
    """Open up a net tally. Arguments as `shrinkage.net_board_feet_bf`.

    >>> round(working_net_board_feet("ash-white", 1000, 0).result)
    922
    """
    wood = species_of(species)
    arguments = {
        "species": (wood.key, "species", ""),
        "gross_bf": (gross_bf, "green tally", "bf"),
        "mc_pct": (mc_pct, "moisture content", "%"),
        "cut": (cut, "cut", ""),
    }
    return work_out(
        "Net (dry) tally",
        "net = gross × (1 − shrinkage of the width/100); the nominal thickness stays",
        shrinkage.net_board_feet_bf,
        arguments,
        "bf",
        "WH-GTR190",
        wood.shrink_provenance,
        (f"Shrinkage radial {wood.shrink_radial_pct}%, tangential {wood.shrink_tangential_pct}%",),
    )


def working_safe_rate(species: str | Species, thickness_in: float) -> Working:
    """Open up a safe drying rate. Arguments as `safe_rate.safe_rate_pct_per_day`.

    >>> working_safe_rate("walnut-black", 2).result
    3.3
    """
    found: SafeRate = safe_rate.safe_rate(species, thickness_in)
    arguments = {
        "species": (species_of(species).key, "species", ""),
        "thickness_in": (thickness_in, "nominal thickness", "in"),
    }
    opened = work_out(
        "Most moisture to lose in a day",
        "as printed for the wood and thickness, or brought over by thickness or drying group",
        safe_rate.safe_rate_pct_per_day,
        arguments,
        "% a day",
        found.source_key,
        found.provenance,
    )
    return replace(opened, notes=(f"Taken from: {found.wood}; {found.basis}",))


def _shrinkage_notes(wood: Species, total: shrinkage.TotalShrinkage) -> tuple[str, ...]:
    origin = "estimated from specific gravity" if total.estimated else total.source
    return (
        f"S0 = {total.pct:g}%, {origin}",
        f"FSP = {wood.fibre_saturation_pct:g}%, {wood.fibre_saturation_source}",
    )
