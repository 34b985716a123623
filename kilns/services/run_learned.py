"""How a closed run moves the yard's belief in the next stack of such wood."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from yard.models import Cohort
from yard.services.yard_prior import prior_for
from yard.templatetags.quantities import species_name


@dataclass(frozen=True, slots=True)
class Speed:
    """What is believed of the speed of a wood's next stack before anything of it is measured: ln D20, its spread."""

    species_key: str
    thickness_in: float
    ln_d: float
    sd: float
    basis: str


def speeds_believed(cohorts: Iterable[Cohort]) -> dict[tuple[str, float], Speed]:
    """The belief in the next stack that is like each of these, by species and thickness to the eighth."""
    found: dict[tuple[str, float], Speed] = {}
    for cohort in cohorts:
        key = (cohort.species_key, round(cohort.thickness_in * 8) / 8)
        if key not in found:
            following = Cohort(pk=0, species_key=cohort.species_key, thickness_in=cohort.thickness_in)
            prior = prior_for(following)
            found[key] = Speed(*key, prior.ln_d.mean, prior.ln_d.sd, prior.basis)
    return found


def learned_words(before: dict[tuple[str, float], Speed], after: dict[tuple[str, float], Speed]) -> list[str]:
    """What has moved, in sentences with numbers."""
    told = []
    for key, now in after.items():
        was = before.get(key)
        if was is None or (abs(was.ln_d - now.ln_d) < 1e-9 and abs(was.sd - now.sd) < 1e-9):
            continue
        change = 100.0 * (math.exp(now.ln_d - was.ln_d) - 1.0)
        how = "faster" if change >= 0 else "slower"
        told.append(
            f"The next {species_name(now.species_key)} of {now.thickness_in:g} in is expected to dry "
            f"{abs(change):.0f}% {how} than before (spread of its speed {was.sd:.2f}, now {now.sd:.2f}): {now.basis}."
        )
    return told or ["It taught nothing new of such wood: too little of it was weighed or measured."]
