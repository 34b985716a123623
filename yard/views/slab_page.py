"""A slab: what it is, how wet, where it lies, its life, its tally green and dry, its photos and history."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from yard.models import EstimateTarget, History, Slab, SlabState
from yard.services.dry_tally import dry_tally
from yard.services.slab_life import slab_life
from yard.services.slab_moisture import moisture_now
from yard.services.slab_neighbours import slab_neighbours
from yard.services.slab_workings import slab_workings
from yard.services.stack_drying import cohort_drying
from yard.services.stack_moisture import HEAVY

HISTORY_SHOWN = 30


def slab_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything known of one slab, in a fixed number of queries."""
    rows = Slab.objects.select_related("log", "owner", "stack__bay", "bay", "cohort__estimate", "split_from").defer(
        *(f"cohort__estimate__{name}" for name in HEAVY)
    )
    slab = get_object_or_404(rows, pk=pk)
    estimate = slab.cohort.estimate if slab.stack_id and slab.cohort else None
    own = EstimateTarget.objects.filter(estimate=estimate, is_own=True).first() if estimate else None
    history = History.objects.filter(table="slab", row_id=slab.pk).select_related("by").order_by("-at", "-id")
    context = {
        "slab": slab,
        "moisture": moisture_now(slab),
        "estimate": estimate,
        "own_target": own,
        "drying": cohort_drying(slab.cohort) if estimate else None,
        "workings": slab_workings(slab),
        "dry": dry_tally(slab, request.yard.dry_target_pct),
        "neighbours": slab_neighbours(slab),
        "life": slab_life(slab),
        "photos": list(slab.photos.all()),
        "history": history[:HISTORY_SHOWN],
        "pieces": list(slab.split_into.order_by("id")) if slab.state == SlabState.SPLIT else [],
        "is_loose": slab.stack_id is None and slab.state in (SlabState.SAWN, SlabState.DRY),
        "can_be_dry": not slab.is_gone,
        "no_more_changes": slab.state in (SlabState.VOID, SlabState.SPLIT),
        "features": [words for name, words in FEATURE_WORDS if getattr(slab, name)],
    }
    return render(request, "yard/slab_page.html", context)


FEATURE_WORDS = (
    ("has_crotch", "crotch"), ("has_wane", "wane"), ("has_knots", "knots"), ("has_checks", "checks"),
    ("has_pith", "pith"),
)  # fmt: skip
