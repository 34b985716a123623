"""Show the working of schedules, samples and the end of a charge: any of these figures opened up."""

from collections.abc import Sequence

from kilns.physics import equalising, samples, schedules
from kilns.physics.schedules import Step
from yard.wood import moisture, safe_rate
from yard.wood.species import Species
from yard.wood.species import species as species_of
from yard.wood.working import Working, work_out

FROM_MEMORY = "memory high; check against the publication"


def working_controlling_mc(sample_mcs_pct: Sequence[float]) -> Working:
    """Open up the moisture content that decides the step. Arguments as `samples.controlling_mc_pct`.

    >>> working_controlling_mc([40.0, 55.0, 48.0, 52.0]).result
    53.5
    """
    arguments = {"mcs_pct": (tuple(sample_mcs_pct), "moisture content of the samples", "%")}
    formula = "mean of the wetter half of the samples; of an odd number the larger half"
    return work_out(
        "Deciding moisture content", formula, samples.controlling_mc_pct, arguments, "%", "AH-188", FROM_MEMORY
    )


def working_step_emc(step: Step, elevation_ft: float = 0.0) -> Working:
    """Open up the EMC of a step from its dry and wet bulb.

    >>> from kilns.physics.schedules import assemble
    >>> step = assemble("T4-D2").steps[1]
    >>> working_step_emc(step).result == step.emc_pct
    True
    """
    arguments = {
        "dry_bulb_f": (step.dry_bulb_f, "dry bulb", "°F"),
        "depression_f": (step.depression_f, "wet-bulb depression", "°F"),
        "elevation_ft": (elevation_ft, "elevation", "ft"),
    }
    formula = "humidity by the psychrometer from both bulbs, then the EMC of dry bulb and humidity"
    notes = (step.note,) if step.note else ()
    return work_out("EMC of a step", formula, schedules.step_emc_pct, arguments, "%", "AH-188", FROM_MEMORY, notes)


def working_capped_humidity(hottest_f: float, emc_pct: float) -> Working:
    """Open up the humidity that holds a step's EMC in a kiln that cannot get so hot.

    >>> round(working_capped_humidity(70, 12.0).result)
    65
    """
    arguments = {
        "temp_f": (hottest_f, "hottest dry bulb of the kiln", "°F"),
        "emc_pct": (emc_pct, "EMC of the step", "%"),
    }
    formula = "the humidity at which wood of that temperature rests at that EMC"
    return work_out(
        "Humidity that holds the EMC", formula, moisture.rh_pct_at_emc, arguments, "%", "WENGERT-COLUMN",
        "principle read; the translation inferred",
    )  # fmt: skip


def working_equalise_emc(target_mc_pct: float, low_grade: bool = False) -> Working:
    """Open up the EMC to equalise at. Arguments as `equalising.equalise_emc_pct`.

    >>> working_equalise_emc(8).result
    6.0
    """
    arguments = {
        "target_mc_pct": (target_mc_pct, "final moisture content", "%"),
        "low_grade": (low_grade, "low grade: 3 points instead of 2", ""),
    }
    return work_out(
        "EMC to equalise at", "final moisture content − 2 points", equalising.equalise_emc_pct, arguments, "%",
        "WENGERT-OAK", "rule read; table of AH-188 ch. 7 memory high",
    )  # fmt: skip


def working_condition_emc(target_mc_pct: float, kind: equalising.Kind = "hardwood") -> Working:
    """Open up the EMC to condition at. Arguments as `equalising.condition_emc_pct`.

    >>> working_condition_emc(8).result
    12.0
    """
    arguments = {"target_mc_pct": (target_mc_pct, "final moisture content", "%"), "kind": (kind, "kind of wood", "")}
    formula = "final moisture content + 4 points for hardwoods, + 3 for softwoods"
    return work_out("EMC to condition at", formula, equalising.condition_emc_pct, arguments, "%", "AH-188", FROM_MEMORY)


def working_drying_rate(
    species: str | Species, thickness_in: float, from_mc_pct: float, to_mc_pct: float, days: float
) -> Working:
    """Open up how fast a sample dried, with the limit beside it. Arguments as `samples.drying_rate`.

    >>> working_drying_rate("oak-northern-red", 1, 60, 50, 2).result
    5.0
    """
    limit = safe_rate.safe_rate(species, thickness_in)
    arguments = {
        "from_mc_pct": (from_mc_pct, "moisture content before", "%"),
        "to_mc_pct": (to_mc_pct, "moisture content now", "%"),
        "days": (days, "days between", "days"),
    }
    wood = species_of(species).plain_name
    note = f"At most {limit.pct_per_day:.1f}% a day for {wood} at {thickness_in:g} in ({limit.basis})"
    return work_out(
        "Drying rate", "(before − now)/days", safe_rate.loss_pct_per_day, arguments, "% MC a day", limit.source_key,
        limit.provenance, (note,),
    )  # fmt: skip
