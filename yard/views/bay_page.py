"""One bay: what stands there, its air, what stood there before."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.models import Bay, History, Slab, Stay
from yard.services.bays import bay_close as close
from yard.services.bays import bay_open_again
from yard.services.stack_list import stack_rows, stacks_found

ROWS = 12
PAST = 10
LOOSE = 60


def bay_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The stacks of one bay and everything about it."""
    bay = get_object_or_404(Bay.objects.select_related("sensor"), pk=pk)
    page = Paginator(stacks_found(bay=pk, order="oldest"), ROWS).get_page(request.GET.get("page"))
    # Through the index of bays alone: with the state asked in one go SQLite reads all slabs.
    lies_here = Slab.objects.filter(bay=bay).values("pk")
    loose = list(Slab.objects.standing().filter(pk__in=lies_here)[: LOOSE + 1])
    past = Stay.objects.filter(bay=bay, until__isnull=False).select_related("stack").order_by("-until")[:PAST]
    context = {
        "bay": bay,
        "page": page,
        "rows": stack_rows(page.object_list),
        "standing": page.paginator.count,
        "loose": sorted(loose[:LOOSE], key=lambda slab: slab.tag),
        "has_more_loose": len(loose) > LOOSE,
        "past": past,
        "history": History.objects.filter(table="bay", row_id=pk).select_related("by").order_by("-at", "-id")[:10],
    }
    return render(request, "yard/bay_page.html", context)


def bay_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an empty bay out of use, or a closed one back into use."""
    bay = get_object_or_404(Bay, pk=pk)
    try:
        if bay.closed_on is None:
            close(bay=bay, by=request.user)
            messages.success(request, f"{bay.name} is closed.")
        else:
            bay_open_again(bay=bay, by=request.user)
            messages.success(request, f"{bay.name} is in use again.")
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("yard:bay-page", pk=pk)
