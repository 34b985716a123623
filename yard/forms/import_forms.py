"""Bringing in a spreadsheet: the file, what its columns are, which wood an unclear name means."""

from collections.abc import Sequence
from typing import Any

from django import forms

from yard.forms.dates import PastDateField
from yard.forms.species_field import SpeciesField
from yard.models import ImportFile, ImportKind
from yard.services.import_columns import LENGTH_UNITS, TARGETS, Choices, Mapped
from yard.services.spreadsheets import MOST_BYTES
from yard.wood.species import Species

DATES = [("ymd", "2025-03-14"), ("dmy", "14.03.2025 or 14/03/2025"), ("mdy", "03/14/2025")]
DECIMALS = [("dot", "2.5"), ("comma", "2,5")]


class ImportFileForm(forms.Form):
    """A CSV file, and what its rows are."""

    kind = forms.ChoiceField(label="What the rows are", choices=ImportKind.choices, widget=forms.RadioSelect)
    file = forms.FileField(
        label="CSV file",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
        error_messages={"required": "Choose a file.", "empty": "This file is empty."},
        help_text="From any spreadsheet program: “Save as”, then CSV. The first row has to hold the headings.",
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(f"The file is {file.size / 1e6:.0f} MB; the most is 20 MB. Split it.")
        return file


class ImportColumnsForm(forms.Form):
    """What each column is, in which unit bare figures are, and what stands for empty cells."""

    decimals = forms.ChoiceField(label="Figures are written", choices=DECIMALS)
    dates = forms.ChoiceField(label="Dates are written", choices=DATES)
    species = SpeciesField(label="Species, where none is given", required=False)
    day = PastDateField(label="Date, where none is given", required=False)
    add_contacts = forms.BooleanField(label="Add contacts that are missing", required=False)

    def __init__(self, data: Any, *, file: ImportFile, headings: Sequence[str], choices: Choices) -> None:
        self.headings, self.targets = headings, {target.key: target for target in TARGETS[ImportKind(file.kind)]}
        self.day_key = "arrived_on" if file.kind == ImportKind.LOGS else "sawn_on"
        chosen = {mapped.place: mapped for mapped in choices.columns}
        super().__init__(data, initial=self._initial(choices))
        self.fields["day"].label = f"{self.targets[self.day_key].words}, where none is given"
        names = [("", "Leave out"), *((key, target.words) for key, target in self.targets.items())]
        for place, heading in enumerate(headings):
            mapped = chosen.get(place)
            self.fields[f"target_{place}"] = forms.ChoiceField(
                label=f"“{heading}” is", choices=names, required=False, initial=mapped.target.key if mapped else ""
            )
            self.fields[f"unit_{place}"] = forms.ChoiceField(
                label=f"Unit of “{heading}”",
                choices=[("", "–"), *((unit, unit) for unit in LENGTH_UNITS)],
                required=False,
                initial=mapped.unit if mapped else "",
            )

    def _initial(self, choices: Choices) -> dict[str, Any]:
        return {
            "decimals": "comma" if choices.decimal_comma else "dot",
            "dates": choices.dates,
            "add_contacts": choices.add_contacts,
            "species": choices.for_all.get("species", ""),
            "day": choices.for_all.get(self.day_key, ""),
        }

    def columns(self, sample: Sequence[Sequence[str]]) -> list[tuple[str, list[str], Any, Any]]:
        """Each column as a page shows it: heading, first cells, and its two fields."""
        return [
            (
                heading,
                [row[place] for row in sample if place < len(row) and row[place]],
                self[f"target_{place}"],
                self[f"unit_{place}"],
            )
            for place, heading in enumerate(self.headings)
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        seen: dict[str, str] = {}
        for place, heading in enumerate(self.headings):
            key = data.get(f"target_{place}")
            if not key:
                continue
            if key in seen:
                self.add_error(f"target_{place}", f"“{seen[key]}” is this already: choose one of the two.")
            seen[key] = heading
            if self.targets[key].measure and not data.get(f"unit_{place}"):
                self.add_error(f"unit_{place}", "In which unit?")
        missing = [
            target.words
            for key, target in self.targets.items()
            if target.needed and key not in seen and not (key == "species" and data.get("species"))
        ]
        if missing:
            raise forms.ValidationError(f"Say which column is: {', '.join(missing)}.")
        if "species" not in seen and "log" not in seen and not data.get("species"):
            raise forms.ValidationError("Say which column is the species, or which one it is for all.")
        return data

    def choices(self, before: Choices) -> Choices:
        """What was chosen; the woods that unclear names mean are kept from before."""
        data = self.cleaned_data
        columns = tuple(
            Mapped(place, heading, self.targets[key], data[f"unit_{place}"] if self.targets[key].measure else "")
            for place, heading in enumerate(self.headings)
            if (key := data.get(f"target_{place}"))
        )
        for_all = {"species": data["species"], self.day_key: data["day"].isoformat() if data["day"] else ""}
        return Choices(
            columns, data["decimals"] == "comma", data["dates"], data["add_contacts"], for_all, before.species
        )


class UnclearSpeciesForm(forms.Form):
    """Which wood each unclear name of the file means."""

    def __init__(self, data: Any, *, unclear: dict[str, tuple[Species, ...]]) -> None:
        self.unclear = unclear
        super().__init__(data)
        for number, (text, candidates) in enumerate(unclear.items()):
            hint = ", ".join(wood.plain_name for wood in candidates[:6])
            self.fields[f"wood_{number}"] = SpeciesField(
                label=f"“{text}” is",
                required=False,
                initial=candidates[0].key if candidates else "",
                help_text=f"Could be {hint}." if hint else "No wood is called so here.",
            )

    def species(self) -> dict[str, str]:
        """By name in small letters, the key of the wood."""
        chosen = ((text, self.cleaned_data.get(f"wood_{number}")) for number, text in enumerate(self.unclear))
        return {text.lower(): key for text, key in chosen if key}
