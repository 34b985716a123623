"""The dry tally: what a slab measures now, and at what moisture."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from yard.forms.slab_form import SlabDryForm, dry_values
from yard.models import Slab, SlabKind
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.dry_tally import dry_tally, dry_tally_keep
from yard.services.refused import Refused
from yard.wood.ranges import OutsideRange


def slab_dry(request: HttpRequest, pk: int) -> HttpResponse:
    """Calls the slab dry; a size left empty follows from its wood's shrinkage."""
    slab = get_object_or_404(Slab, pk=pk)
    initial = dry_values(slab) | {"dry_on": slab.dry_on or timezone.localdate()}
    form = SlabDryForm(request.POST or None, initial=initial, slab=slab)
    if slab.kind == SlabKind.LOT:
        del form.fields["dry_widths_in"]
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                dry = _kept(request, slab, form)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, dry_values(error.current), str(error))
                status = 409
            except (Refused, OutsideRange) as error:
                form.add_error(None, ValidationError(str(error)))
            else:
                messages.success(request, f"{dry.tag} is dry at {dry.dry_mc_pct:g}%.")
                return redirect("yard:slab-page", pk=pk)
    expected = dry_tally(slab, request.yard.dry_target_pct)
    return render(request, "yard/slab_dry.html", {"form": form, "slab": slab, "dry": expected}, status=status)


def _kept(request: HttpRequest, slab: Slab, form: SlabDryForm) -> Slab:
    data = form.cleaned_data
    return dry_tally_keep(
        by=request.user,
        slab=slab,
        version=data["version"],
        mc_pct=data["dry_mc_pct"],
        on=data["dry_on"],
        thickness_in=data["dry_thickness_in"],
        widths_in=data.get("dry_widths_in") or (),
        length_in=data["dry_length_in"],
    )
