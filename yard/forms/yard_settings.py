"""The yard's settings: place, units, money, log rule, targets; and the first bays at set-up."""

from decimal import Decimal
from typing import Any

from django import forms

from yard.forms.place_fields import DegreesField, ElevationField, time_zone_choices
from yard.forms.quantity_fields import MoistureField
from yard.forms.versioned import VersionedForm
from yard.models import BayKind, LogRule, Units, Yard
from yard.wood.cities import all_cities, city, distance_mi, nearest_city

NEAR_MI = 40  # a place this near is named as it is; common practice, no source
CITY_CHOICES = [("", "Give latitude and longitude instead"), *((one.key, one.label) for one in all_cities())]


class PlaceForm(forms.Form):
    """Where the yard is: a built-in city, or degrees and height; the city fills what is left empty."""

    name = forms.CharField(label="Name of the yard", max_length=80)
    city_key = forms.ChoiceField(
        label="Nearest city with built-in climate",
        choices=CITY_CHOICES,
        required=False,
        help_text="Its monthly temperature and humidity stand in until you import weather of your own.",
    )
    lat_deg = DegreesField(label="Latitude", limit=90, letters="NS", required=False)
    lon_deg = DegreesField(
        label="Longitude", limit=180, letters="EW", required=False, help_text="West is negative, or write 89.4 W."
    )
    elevation_ft = ElevationField(label="Height above the sea", required=False)
    time_zone = forms.ChoiceField(label="Time zone", choices=time_zone_choices)

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        lat, lon, key = given.get("lat_deg"), given.get("lon_deg"), given.get("city_key")
        if (lat is None) != (lon is None) and not {"lat_deg", "lon_deg"} & self.errors.keys():
            self.add_error("lon_deg" if lon is None else "lat_deg", "Give both degrees, or neither and a city.")
        elif lat is None and not key and not self.errors:
            self.add_error("city_key", "Choose a city, or give latitude and longitude.")
        elif not self.errors:
            self._fill_from_city(given)
        return given

    def _fill_from_city(self, given: dict[str, Any]) -> None:
        place = city(given["city_key"]) if given["city_key"] else None
        if given["lat_deg"] is None and place:
            given["lat_deg"], given["lon_deg"] = place.lat_deg, place.lon_deg
        near = place or nearest_city(given["lat_deg"], given["lon_deg"])
        if given["elevation_ft"] is None:
            given["elevation_ft"] = near.elevation_ft
        away_mi = distance_mi(given["lat_deg"], given["lon_deg"], near.lat_deg, near.lon_deg)
        given["place_label"] = near.label if away_mi <= NEAR_MI else f"{away_mi:,.0f} miles from {near.label}"


class MoneyAndMeasureForm(forms.Form):
    """Habits of the yard."""

    units = forms.ChoiceField(
        label="Units", choices=Units.choices, help_text="Everybody may choose others for themselves."
    )
    log_rule = forms.ChoiceField(
        label="Log rule", choices=LogRule.choices, help_text="For new tickets; the other rules are shown beside it."
    )
    currency = forms.RegexField(
        r"^[A-Z]{3}$",
        label="Currency",
        initial="USD",
        error_messages={"invalid": "Three capital letters, such as USD, CAD or EUR."},
    )
    tax_pct = forms.DecimalField(
        label="Sales tax, %", min_value=0, max_value=100, max_digits=6, decimal_places=3, initial=0
    )


class SetUpForm(PlaceForm, MoneyAndMeasureForm):
    """What an empty yard needs before its first log."""


class YardSettingsForm(VersionedForm, PlaceForm, MoneyAndMeasureForm):
    """Everything of the yard's row that an owner changes."""

    kiln_target_pct = MoistureField(
        label="Ready for the kiln at", low=6, high=35, help_text="A stack is ready when its wood is at or under this."
    )
    dry_target_pct = MoistureField(label="Dry at", low=4, high=20, help_text="Wood out of the kiln is dry at this.")
    frozen_stops_drying = forms.BooleanField(
        label="Frozen wood does not dry",
        required=False,
        help_text="Common practice, no source: below freezing the estimate stands still.",
    )


def initial_of(yard: Yard) -> dict[str, Any]:
    """The yard's row as the form's first values."""
    row = {name: getattr(yard, name) for name in YardSettingsForm.base_fields}
    return row | {"tax_pct": Decimal(f"{Decimal(yard.tax_pct).normalize():f}")}


class FirstBayForm(forms.Form):
    """One bay; a row without a name is left out."""

    name = forms.CharField(label="Name", max_length=60, required=False)
    kind = forms.ChoiceField(label="Kind", choices=BayKind.choices, initial=BayKind.OUTDOORS)
    places = forms.IntegerField(label="Room for stacks", min_value=1, max_value=500, initial=1)


class _FirstBays(forms.BaseFormSet):
    def clean(self) -> None:
        seen: set[str] = set()
        for form in self.forms:
            name = form.cleaned_data.get("name", "").strip().lower() if form.is_valid() else ""
            if name and name in seen:
                form.add_error("name", "Two bays have this name: change one.")
            seen.add(name)

    def named(self) -> list[dict[str, Any]]:
        """The rows that were filled in."""
        return [form.cleaned_data for form in self.forms if form.cleaned_data.get("name")]


FirstBays = forms.formset_factory(FirstBayForm, formset=_FirstBays, extra=4, max_num=20)
