"""What the list of slabs can be narrowed to; every filter is in the address, so a link shows the same list."""

from typing import Any

from django import forms
from django.db.models import Value
from django.db.models.functions import Lower
from django.http import QueryDict

from yard.forms.money_field import MoneyField
from yard.forms.quantity_fields import LengthInField, MoistureField, WidthField
from yard.models import Bay, Contact, Log, SlabKind, Stack
from yard.services.slab_list import FEATURES, SlabsAsked, species_there
from yard.templatetags.quantities import species_name

STATES = [
    ("standing", "In the yard"),
    ("sawn", "Not stacked"),
    ("stacked", "Drying"),
    ("kiln", "In the kiln"),
    ("dry", "Dry"),
    ("for_sale", "For sale"),
    ("gone", "Gone: sold, handed back, split"),
    ("void", "Void"),
    ("all", "All"),
]
QUARTERS = [(quarters, f"{quarters}/4") for quarters in (4, 5, 6, 8, 10, 12, 16)]
ORDERS = [
    ("", "Newest"),
    ("oldest", "Oldest"),
    ("tag", "Tag"),
    ("widest", "Widest"),
    ("narrowest", "Narrowest"),
    ("longest", "Longest"),
    ("shortest", "Shortest"),
    ("driest", "Driest in stacks"),
    ("wettest", "Wettest in stacks"),
    ("dearest", "Dearest"),
    ("cheapest", "Cheapest"),
]
ALWAYS_SEEN = ("q", "state", "species", "order")


class SlabFiltersForm(forms.Form):
    """Everything may stay empty; what cannot be read is said and left out."""

    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    state = forms.ChoiceField(label="State", choices=STATES, required=False)
    species = forms.ChoiceField(label="Species", required=False)
    order = forms.ChoiceField(label="Order", choices=ORDERS, required=False)
    quarters = forms.TypedMultipleChoiceField(
        label="Quarters", choices=QUARTERS, coerce=float, required=False, widget=forms.CheckboxSelectMultiple
    )
    kind = forms.ChoiceField(label="Kind", choices=[("", "Any"), *SlabKind.choices], required=False)
    width_from = WidthField(label="Width from", required=False)
    width_to = WidthField(label="Width to", required=False)
    length_from = LengthInField(label="Length from", required=False)
    length_to = LengthInField(label="Length to", required=False)
    mc_from = MoistureField(label="MC from", required=False)
    mc_to = MoistureField(label="MC to", required=False)
    bay = forms.ModelChoiceField(label="Bay", queryset=Bay.objects.none(), required=False, empty_label="Any")
    stack = forms.CharField(label="Stack", max_length=30, required=False)
    log = forms.CharField(label="Log", max_length=30, required=False)
    whose = forms.ChoiceField(label="Whose wood", required=False)
    price_from = MoneyField(label="Price from", required=False)
    price_to = MoneyField(label="Price to", required=False)
    grade = forms.CharField(label="Grade", max_length=20, required=False)
    matched_set = forms.CharField(label="Matched set", max_length=30, required=False)
    figure = forms.CharField(
        label="Figure", max_length=60, required=False, help_text="A word such as curl; “any” for any figure."
    )
    features = forms.MultipleChoiceField(
        label="With", choices=[(one, one.capitalize()) for one in FEATURES], required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    without = forms.MultipleChoiceField(
        label="Without", choices=[(one, one.capitalize()) for one in FEATURES], required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip

    def __init__(self, data: QueryDict) -> None:
        super().__init__(data)
        self.fields["bay"].queryset = Bay.objects.filter(closed_on__isnull=True)
        there = sorted((str(species_name(key)), key) for key in species_there())
        self.fields["species"].choices = [("", "Any"), *((key, words.capitalize()) for words, key in there)]
        owners = Contact.objects.filter(is_owner=True, hidden_at__isnull=True).values_list("pk", "name")
        self.fields["whose"].choices = [
            ("", "Anybody's"),
            ("ours", "Ours"),
            ("others", "Dried for others"),
            *((str(pk), name) for pk, name in owners),
        ]

    def clean_stack(self) -> Stack | None:
        return _tagged(Stack, self.cleaned_data["stack"], "stack")

    def clean_log(self) -> Log | None:
        return _tagged(Log, self.cleaned_data["log"], "log")

    def asked(self) -> SlabsAsked:
        """What `slabs_found` takes."""
        self.is_valid()
        data = self.cleaned_data
        whose = data.get("whose") or ""
        return SlabsAsked(
            words=data.get("q") or "",
            state=data.get("state") or "standing",
            species_key=data.get("species") or "",
            quarters=tuple(data.get("quarters") or ()),
            kind=data.get("kind") or "",
            width_from_in=data.get("width_from"),
            width_to_in=data.get("width_to"),
            length_from_in=data.get("length_from"),
            length_to_in=data.get("length_to"),
            mc_from_pct=data.get("mc_from"),
            mc_to_pct=data.get("mc_to"),
            bay=data.get("bay"),
            stack=data.get("stack"),
            log=data.get("log"),
            whose=whose if whose in ("ours", "others") else "",
            owner=Contact(pk=int(whose)) if whose.isdigit() else None,
            price_from=data.get("price_from"),
            price_to=data.get("price_to"),
            figure=(data.get("figure") or "").lower(),
            features=tuple(data.get("features") or ()),
            without=tuple(data.get("without") or ()),
            matched_set=data.get("matched_set") or "",
            grade=data.get("grade") or "",
            order=data.get("order") or "",
        )

    def chosen(self) -> list[tuple[str, str]]:
        """The filters that narrow the list, each in words and with the address of the list without it."""
        return [(words, _without(self.data, name, value)) for name, value, words in self._chosen()]

    def more_chosen(self) -> bool:
        """Whether one of those is chosen that are behind "More filters"."""
        return any(name not in ALWAYS_SEEN for name, _, _ in self._chosen()) or bool(
            set(self.errors) - set(ALWAYS_SEEN)
        )

    def _chosen(self) -> list[tuple[str, str, str]]:
        chosen = []
        for bound in self:
            if bound.name == "order" or bound.errors:
                continue
            for value in self.data.getlist(bound.name):
                if value.strip() and not (bound.name == "state" and value == "standing"):
                    chosen.append((bound.name, value, _in_words(bound, value.strip())))
        return chosen


def _tagged(model: type[Stack] | type[Log], tag: str, noun: str) -> Any:
    """The stack or log of a tag, by the index on small letters."""
    if not tag.strip():
        return None
    found = model.objects.alias(low=Lower("tag")).filter(low=Lower(Value(tag.strip()))).first()
    if found is None:
        raise forms.ValidationError(f"No {noun} has the tag {tag.strip()}.")
    return found


def _in_words(bound: Any, value: str) -> str:
    choices = {str(key): words for key, words in getattr(bound.field, "choices", [])}
    shown = str(choices.get(value, value))
    if bound.name in ("state", "quarters"):
        return shown
    unit = getattr(bound.field, "unit", "")
    number_only = unit and value.replace(".", "", 1).replace(",", "", 1).isdigit()
    return f"{bound.label}: {shown}{f' {unit}' if number_only else ''}"


def _without(data: QueryDict, name: str, value: str) -> str:
    """The address's filters but this one."""
    left = data.copy()
    left.setlist(name, [one for one in data.getlist(name) if one != value])
    left.pop("page", None)
    return f"?{left.urlencode()}"
