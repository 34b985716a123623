"""The circuits of a kiln and the devices on them."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.equipment_form import (
    CircuitFormSet,
    DeviceFormSet,
    EquipmentForm,
    circuits_initial,
    devices_initial,
    told_rows,
)
from kilns.models import Kiln
from kilns.services.kiln_build import build_of
from kilns.services.kilns import equipment_set
from kilns.services.sheet_power import electric_caution
from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile


def kiln_equipment(request: HttpRequest, pk: int) -> HttpResponse:
    """All circuits and devices in one form; a row without a name is left out."""
    kiln = get_object_or_404(Kiln, pk=pk)
    build = build_of(kiln)
    form = EquipmentForm(request.POST or None, initial={"version": kiln.version})
    circuits = CircuitFormSet(request.POST or None, initial=circuits_initial(build), prefix="circuits")
    devices = DeviceFormSet(request.POST or None, initial=devices_initial(build), prefix="devices")
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and all(one.is_valid() for one in (form, circuits, devices)):
        told = {"circuits": told_rows(circuits), "devices": told_rows(devices)}
        try:
            equipment_set(kiln=kiln, by=request.user, version=form.cleaned_data["version"], **told)
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, {}, str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, "Kept.")
            return redirect("kilns:kiln-page", pk=pk)
    context = {"form": form, "circuits": circuits, "devices": devices, "kiln": kiln, "caution": electric_caution()}
    return render(request, "kilns/kiln_equipment.html", context, status=status)
