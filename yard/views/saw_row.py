"""Changing a row of the saw in place."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from yard.forms.saw_form import SawRowForm, row_values
from yard.models import Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.services.slab_workings import slab_workings
from yard.services.slabs import slab_change, slab_void
from yard.views.saw_log import put_error, saw_done
from yard.wood.ranges import OutsideRange


def saw_row(request: HttpRequest, pk: int, slab_pk: int) -> HttpResponse:
    """The row as a form; saved or made void, the whole sheet comes back."""
    slab = get_object_or_404(Slab.objects.select_related("log"), pk=slab_pk, log_id=pk)
    form = SawRowForm(request.POST or None, initial=row_values(slab), prefix="row")
    status = 200
    if request.method == "POST":
        status = 422
        if "void" in request.POST:
            return _void(request, slab, form)
        if form.is_valid():
            try:
                slab_change(by=request.user, slab=slab, version=form.cleaned_data["version"], **form.values())
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, row_values(error.current), str(error))
                status = 409
            except (Refused, OutsideRange) as error:
                put_error(form, error)
            else:
                return _whole_sheet(request, saw_done(request, slab.log, f"{slab.tag} is changed.", slab))
    return _row(request, slab, form, status)


def _void(request: HttpRequest, slab: Slab, form: SawRowForm) -> HttpResponse:
    reason = request.POST.get("reason", "").strip() or "Made void at the saw."
    try:
        slab_void(by=request.user, slab=slab, reason=reason)
    except Refused as error:
        form.is_valid()
        put_error(form, error)
        return _row(request, slab, form, 422)
    return _whole_sheet(request, saw_done(request, slab.log, f"{slab.tag} is void; its tag is free again."))


def _row(request: HttpRequest, slab: Slab, form: SawRowForm, status: int) -> HttpResponse:
    template = "yard/saw_row.html#row_form" if request.htmx else "yard/saw_row.html"
    context = {"slab": slab, "log": slab.log, "form": form, "workings": slab_workings(slab)}
    return render(request, template, context, status=status)


def _whole_sheet(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    if request.htmx:
        response["HX-Retarget"] = "#sheet"
        response["HX-Reswap"] = "outerHTML"
    return response
