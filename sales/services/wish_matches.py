"""What lies ready for a wish: of the wood that is offered to anybody, what is like it."""

from collections.abc import Sequence

from django.db.models import Count, Q, QuerySet, Sum

from sales.models import PriceRule, Wish
from sales.services.dry_width import as_long_as
from sales.services.for_sale import offered
from yard.models import Slab
from yard.wood.grades import all_grades

MC_SLACK_PCT = 1.0  # wood called dry at 8.6% is told to who asked for 8%: a meter is no finer; our own choice


def matching(wish: Wish) -> Q:
    """The filter that finds it among what is offered. Widths are mean widths as dry wood, as prices take them."""
    asked = Q()
    if wish.species_key:
        asked &= Q(species_key=wish.species_key)
    if wish.quarters:
        asked &= Q(quarters=wish.quarters)
    if wish.kind:
        asked &= Q(kind=wish.kind)
    if wish.min_width_in:
        asked &= Q(dry_width_in__gte=wish.min_width_in)
    if wish.length_in:
        asked &= as_long_as(wish.length_in)
    if wish.grade:
        asked &= Q(grade__in=grades_from(wish.grade))
    if wish.figure == PriceRule.ANY_FIGURE:
        asked &= ~Q(figure="")
    elif wish.figure:
        asked &= Q(figure__icontains=wish.figure)
    if wish.target_mc_pct:
        asked &= Q(dry_mc_pct__lte=wish.target_mc_pct + MC_SLACK_PCT)
    return asked


def grades_from(grade: str) -> list[str]:
    """A grade and those better, as people write them; one that the table lacks stands for itself.

    >>> grades_from("sel")
    ['FAS', 'Firsts and Seconds', 'F1F', 'FAS one face', 'SEL', 'Selects']
    """
    names = [(row.key, row.name) for row in all_grades()]
    place = next(
        (i for i, both in enumerate(names) if grade.casefold() in (both[0].casefold(), both[1].casefold())), None
    )
    if place is None:
        return [grade]
    return [name for both in names[: place + 1] for name in both]


def wish_ready(wish: Wish) -> QuerySet[Slab]:
    """Pieces that are offered and like it."""
    return offered().filter(matching(wish))


def ready_counts(wishes: Sequence[Wish]) -> dict[int, tuple[int, float]]:
    """Pieces and board feet ready for each wish: one query for all of them."""
    if not wishes:
        return {}
    asked = {}
    for wish in wishes:
        asked[f"n{wish.pk}"] = Count("pk", filter=matching(wish))
        asked[f"b{wish.pk}"] = Sum("green_bf", filter=matching(wish))
    woods, rows = {wish.species_key for wish in wishes}, offered().order_by()
    if all(woods):  # wood of other kinds need not be looked at
        rows = rows.filter(species_key__in=woods)
    found = rows.aggregate(**asked)
    return {wish.pk: (found[f"n{wish.pk}"], found[f"b{wish.pk}"] or 0.0) for wish in wishes}
