"""One surface of a kiln: adding it, changing its layers, taking it off."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.surface_form import LayerFormSet, SurfaceForm, layers_initial, surface_told
from kilns.models import Kiln, KilnSurface
from kilns.services.kiln_build import SurfaceTold, build_of
from kilns.services.kilns import surface_remove, surface_set
from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile


def kiln_surface_new(request: HttpRequest, pk: int) -> HttpResponse:
    """The form of a surface that is not on the sheet yet."""
    return _surface(request, get_object_or_404(Kiln, pk=pk), None)


def kiln_surface(request: HttpRequest, pk: int) -> HttpResponse:
    """The form of a surface with its layers."""
    surface = get_object_or_404(KilnSurface.objects.select_related("kiln"), pk=pk)
    return _surface(request, surface.kiln, surface)


def kiln_surface_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a surface off the sheet."""
    surface = get_object_or_404(KilnSurface.objects.select_related("kiln"), pk=pk)
    kiln = surface.kiln
    try:
        surface_remove(kiln=kiln, by=request.user, version=_version(request), surface=surface)
    except ChangedMeanwhile as error:
        messages.warning(request, str(error))
    else:
        messages.success(request, f"{surface.name} is taken off the sheet.")
    return redirect("kilns:kiln-edit", pk=kiln.pk)


def _surface(request: HttpRequest, kiln: Kiln, surface: KilnSurface | None) -> HttpResponse:
    told = next((one for one in build_of(kiln).surfaces if surface and one.pk == surface.pk), None)
    form = SurfaceForm(request.POST or None, initial=_initial(kiln, told))
    layers = LayerFormSet(request.POST or None, initial=layers_initial(told), prefix="layers")
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid() and layers.is_valid():
        version = form.cleaned_data["version"]
        try:
            surface_set(
                kiln=kiln, by=request.user, version=version, told=surface_told(form, layers), surface=surface
            )  # fmt: skip
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, {}, str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, "Kept.")
            return redirect("kilns:kiln-edit", pk=kiln.pk)
    context = {"form": form, "layers": layers, "kiln": kiln, "surface": surface}
    return render(request, "kilns/kiln_surface.html", context, status=status)


def _initial(kiln: Kiln, told: SurfaceTold | None) -> dict:
    own = {"part": told.part, "name": told.name, "area_ft2": told.area_ft2} if told else {}
    return {"version": kiln.version} | own


def _version(request: HttpRequest) -> int:
    text = request.POST.get("version", "")
    return int(text) if text.isdecimal() else 0
