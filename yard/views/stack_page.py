"""One stack: how wet it is, what lies in it and how, where it stood, and what can be done with it."""

from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from yard.models import History, Stack
from yard.services.memberships import members
from yard.services.stack_cautions import loader_words, stack_cautions
from yard.services.stack_drawing import stack_drawing
from yard.services.stack_drying import stack_drying
from yard.services.stack_figures import stack_figures
from yard.services.stack_moisture import cohort_moisture, cohorts_with_estimates, stack_moisture

HISTORY_LINES = 20


def stack_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything of one stack; a fixed number of queries, however large it is."""
    stack = get_object_or_404(Stack.objects.select_related("bay"), pk=pk)
    rows = list(members(stack))
    cohorts = list(cohorts_with_estimates([stack]))
    pairs = [(row.slab, row.course or 0) for row in rows]
    figures = stack_figures(shape=stack, pairs=pairs, cohorts={cohort.pk: cohort for cohort in cohorts})
    past = stack.memberships.filter(until__isnull=False).exclude(since=F("until"))
    context = {
        "stack": stack,
        "rows": rows,
        "several_woods": len({row.slab.species_key for row in rows}) > 1,
        "cohorts": [cohort_moisture(cohort) for cohort in cohorts],
        "drying": stack_drying(stack, cohorts, request.GET.get("wood", "")),
        "moisture": stack_moisture(cohorts),
        "figures": figures,
        "drawing": stack_drawing(shape=stack, courses=figures.courses),
        "cautions": stack_cautions(shape=stack, figures=figures),
        "loader_words": loader_words(figures),
        "stays": stack.stays.select_related("bay").order_by("-since"),
        "past": past.select_related("slab", "slab__stack").order_by("-until", "slab__tag")[:200],
        "photos": stack.photos.all(),
        "history": History.objects.filter(table="stack", row_id=stack.pk)
        .select_related("by")
        .order_by("-at", "-id")[:HISTORY_LINES],
        "target_pct": stack.target_mc_pct or request.yard.kiln_target_pct,
    }
    return render(request, "yard/stack_page.html", context)
