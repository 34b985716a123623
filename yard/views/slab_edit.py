"""Changing what is known of a slab."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.slab_form import SlabEditForm, edit_values
from yard.models import Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.services.slabs import slab_change
from yard.views.saw_log import put_error
from yard.wood.ranges import OutsideRange


def slab_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the slab's values; two people editing it notice each other."""
    slab = get_object_or_404(Slab.objects.select_related("log", "owner"), pk=pk)
    form = SlabEditForm(request.POST or None, initial=edit_values(slab))
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                slab_change(by=request.user, slab=slab, version=form.cleaned_data["version"], **form.values())
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, edit_values(error.current), str(error))
                status = 409
            except (Refused, OutsideRange) as error:
                put_error(form, error)
            else:
                messages.success(request, f"{form.values().get('tag', slab.tag)} is changed.")
                return redirect("yard:slab-page", pk=pk)
    return render(request, "yard/slab_edit.html", {"form": form, "slab": slab}, status=status)
