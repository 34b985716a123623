"""All parts of pages on one page, for whoever builds one; only in development."""

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.dates import PastDateField
from yard.forms.quantity_fields import LengthField, MoistureField, ThicknessField, WeightField, WidthsField
from yard.forms.species_field import SpeciesField
from yard.models import SlabKind
from yard.wood.working import work_out

CHART = {
    "days": ["2026-03-02", "2026-04-02", "2026-05-02", "2026-06-02", "2026-07-02", "2026-08-02"],
    "low": [55, 45, 34, 26, 20, 16],
    "mid": [60, 50, 39, 30, 23, 18],
    "high": [65, 56, 45, 35, 27, 21],
}


class LookForm(forms.Form):
    """A field of every kind."""

    species_key = SpeciesField(label="Species", help_text="Any name it goes by.")
    kind = forms.ChoiceField(label="Kind", choices=SlabKind.choices)
    thickness_in = ThicknessField(label="Thickness", low=0.25, high=24)
    length_ft = LengthField(label="Length")
    weight_lb = WeightField(label="Weight", required=False)
    mc_pct = MoistureField(label="Moisture", required=False)
    sawn_on = PastDateField(label="Sawn")
    widths_in = WidthsField(label="Widths", help_text="From butt to top: 18; 16 1/2; 15")
    sealed = forms.BooleanField(label="Ends are sealed", required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea)


def look(request: HttpRequest) -> HttpResponse:
    """The parts of "The look" in DEVELOPERS.md, each as it stands there."""
    if not settings.DEBUG:
        raise Http404
    form = LookForm(request.POST or None, initial={"thickness_in": 2.125, "length_ft": 8.5})
    if request.method == "POST" and form.is_valid():
        messages.success(request, "The form was sent.")
        return redirect("yard:look")
    example = work_out(
        "Footage",
        "thickness [in] × width [in] × length [ft] / 12",
        lambda thickness_in, width_in, length_ft: thickness_in * width_in * length_ft / 12,
        {
            "thickness_in": (2.0, "thickness", "in"),
            "width_in": (10.0, "width", "in"),
            "length_ft": (9.0, "length", "ft"),
        },
        "bf",
        "MN-239.33",
    )
    return render(request, "yard/look.html", {"working": example, "form": form, "chart": CHART})
