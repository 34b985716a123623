"""Splitting a lot or a slab into pieces that each have a tag."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.slab_form import MOST_PIECES, PieceForms, PieceFormSet, SlabSplitForm
from yard.models import Slab, SlabKind
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.services.slab_tags import slab_tag_suggest
from yard.services.slabs import slab_split as split
from yard.wood.ranges import OutsideRange

ROWS = 3


def slab_split(request: HttpRequest, pk: int) -> HttpResponse:
    """A row a piece; "another row" keeps what was typed."""
    slab = get_object_or_404(Slab.objects.select_related("log", "stack"), pk=pk)
    form = SlabSplitForm(request.POST or None, initial={"version": slab.version})
    if request.method == "GET":
        return _page(request, slab, form, PieceForms(initial=_first(slab)))
    if "more" in request.POST:
        return _page(request, slab, form, PieceForms(_with_another_row(request, slab)))
    pieces = PieceForms(request.POST)
    status = 422
    if form.is_valid() and pieces.is_valid():
        try:
            children = split(
                by=request.user,
                slab=slab,
                version=form.cleaned_data["version"],
                pieces=[piece.piece(slab) for piece in pieces.filled()],
                note=form.cleaned_data["note"],
            )
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, {}, str(error))
            status = 409
        except (Refused, OutsideRange) as error:
            form.add_error(None, ValidationError(str(error)))
        else:
            messages.success(request, f"{slab.tag} is split into {', '.join(child.tag for child in children)}.")
            return redirect("yard:slab-page", pk=pk)
    return _page(request, slab, form, pieces, status)


def _first(slab: Slab) -> list[dict]:
    row = {"count": 1, "thickness_in": slab.thickness_in, "length_in": slab.length_in, "grade": slab.grade}
    if slab.kind == SlabKind.LOT:
        return [
            row | {"count": line["count"], "widths_in": [line["width_in"]], "length_in": line["length_in"]}
            for line in slab.tally[:MOST_PIECES]
        ]
    return [row] * ROWS


def _with_another_row(request: HttpRequest, slab: Slab) -> dict:
    """What was typed, with one row more that has the whole's thickness and length."""
    data = request.POST.copy()
    total = min(int(data.get("form-TOTAL_FORMS") or 0), MOST_PIECES - 1)
    blank = PieceForms(initial=[*([{}] * total), _first(slab)[0] | {"widths_in": [], "count": 1}]).forms[total]
    for bound in blank:
        data[bound.html_name] = bound.value() if bound.value() not in (None, []) else ""
    data["form-TOTAL_FORMS"] = str(total + 1)
    return data


def _page(
    request: HttpRequest, slab: Slab, form: SlabSplitForm, pieces: PieceFormSet, status: int = 200
) -> HttpResponse:
    only_more = "more" in request.POST
    context = {
        "slab": slab,
        "form": form,
        "pieces": pieces,
        "only_more": only_more,
        "next_tag": slab_tag_suggest(parent=slab),
    }
    return render(request, "yard/slab_split.html", context, status=status)
