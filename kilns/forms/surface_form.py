"""One surface of a kiln with its layers from inside to outside; works without a script."""

from typing import Any

from django import forms

from kilns.forms.figure_fields import AreaField, RValueField
from kilns.models import Part
from kilns.physics.walls import material, materials
from kilns.services.kiln_build import LayerTold, SurfaceTold
from yard.forms.quantity_fields import TempField, ThicknessField
from yard.forms.versioned import VersionedForm

OWN = "own"
SPARE_LAYERS, MOST_LAYERS = 2, 20


def material_choices() -> list[Any]:
    """The published materials by kind, and one's own."""
    by_inch = [(one.key, one.name) for one in materials() if one.by_the_inch]
    sheets = [(one.key, one.name) for one in materials() if not one.by_the_inch]
    return [("", "No layer"), ("By thickness", by_inch), ("Sheets", sheets), (OWN, "Own material, by its R")]


class SurfaceForm(VersionedForm):
    """The surface itself; `version` is the kiln's."""

    part = forms.ChoiceField(label="Part", choices=Part.choices)
    name = forms.CharField(label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    area_ft2 = AreaField(label="Area", low=0.1, high=100_000)


class LayerForm(forms.Form):
    """One layer; "No layer" leaves it out."""

    material = forms.ChoiceField(label="Material", choices=material_choices, required=False)
    thickness_in = ThicknessField(label="Thickness", required=False, low=0.01, high=48)
    own_name = forms.CharField(label="Own material", required=False, max_length=60)
    own_r_value = RValueField(label="Its R", required=False, high=200)
    own_limit_f = TempField(label="It stands up to", required=False, low=60, high=1000)
    vapour_barrier = forms.BooleanField(label="Vapour barrier", required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        key = data.get("material")
        if key == OWN and data.get("own_r_value") is None and "own_r_value" not in self.errors:
            self.add_error("own_r_value", "Give the R-value of your own material.")
        needs_thickness = key and key != OWN and material(key).by_the_inch and not data.get("thickness_in")
        if needs_thickness and "thickness_in" not in self.errors:
            self.add_error("thickness_in", "Give its thickness: its R is by the inch.")
        return data

    def told(self) -> LayerTold | None:
        """The layer, or None where none was chosen."""
        data = self.cleaned_data
        key, barrier = data.get("material"), bool(data.get("vapour_barrier"))
        if not key:
            return None
        if key == OWN:
            return LayerTold(
                own_name=data["own_name"] or "own material", own_r_value=data["own_r_value"],
                own_limit_f=data["own_limit_f"], vapour_barrier=barrier,
            )  # fmt: skip
        return LayerTold(key, data["thickness_in"] if material(key).by_the_inch else None, vapour_barrier=barrier)


LayerFormSet = forms.formset_factory(LayerForm, extra=SPARE_LAYERS, max_num=MOST_LAYERS, absolute_max=MOST_LAYERS)


def layers_initial(told: SurfaceTold | None) -> list[dict[str, Any]]:
    """The rows of a surface's layers."""
    return [
        {
            "material": one.material_key or OWN, "thickness_in": one.thickness_in, "own_name": one.own_name,
            "own_r_value": one.own_r_value, "own_limit_f": one.own_limit_f, "vapour_barrier": one.vapour_barrier,
        }
        for one in (told.layers if told else ())
    ]  # fmt: skip


def surface_told(form: SurfaceForm, layers: forms.BaseFormSet) -> SurfaceTold:
    """What both valid forms say."""
    data = form.cleaned_data
    found = tuple(one for row in layers if (one := row.told()) is not None)
    return SurfaceTold(data["part"], data["name"].strip(), data["area_ft2"], found)
