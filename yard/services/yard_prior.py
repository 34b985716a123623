"""What a yard's finished stacks have taught, kept with their estimates and handed to the next stack."""

from dataclasses import asdict
from typing import Any

from yard.models import Cohort, Estimate
from yard.services.cohorts import thickness_eighths
from yard.wood.estimate import PosteriorSummary, Prior, learned_prior, starting_prior
from yard.wood.priors import Belief

NEWEST_STACKS = 20  # older ones tell no more (our choice)
ALIKE_EIGHTHS = 1


def posterior_to_json(posterior: PosteriorSummary) -> dict[str, Any]:
    """What a stack taught, as the estimate's row keeps it."""
    return asdict(posterior)


def posterior_from_json(kept: dict[str, Any]) -> PosteriorSummary:
    """What a stack taught, back from the estimate's row."""
    prior = kept["prior"]
    beliefs = {name: Belief(**prior[name]) for name in ("ln_d", "ln_s", "start_mc_pct", "emc_offset_pct")}
    return PosteriorSummary(
        Belief(**kept["ln_d"]), Belief(**kept["ln_s"]), Belief(**kept["emc_offset_pct"]),
        Prior(**beliefs, basis=prior["basis"]), kept["observations"],
    )  # fmt: skip


def prior_for(cohort: Cohort) -> Prior:
    """The belief before anything is measured: published drying times, moved by finished stacks of this yard."""
    starting = starting_prior(cohort.species_key, start_mc_pct=cohort.start_mc_pct)
    eighths = thickness_eighths(cohort.thickness_in)
    finished = (
        Estimate.objects.filter(
            is_current=True, cohort__species_key=cohort.species_key, cohort__left_at__isnull=False,
            cohort__went_to__isnull=True,
            cohort__thickness_in__range=((eighths - ALIKE_EIGHTHS) / 8 - 0.07, (eighths + ALIKE_EIGHTHS) / 8 + 0.07),
        )
        .exclude(cohort=cohort)
        .order_by("-as_of")
        .values_list("posterior", flat=True)[:NEWEST_STACKS]
    )  # fmt: skip
    taught = [posterior_from_json(kept) for kept in finished if kept and kept["observations"]]
    return learned_prior(starting, taught)
