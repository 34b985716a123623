"""Reading the rows of a spreadsheet into what could be saved, or into what is wrong with them.

`import_log_rows.py` and `import_slab_rows.py` make the logs and slabs.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils import timezone

from yard.models import Contact, ImportKind
from yard.services.import_cells import BadCell, CellReader, SpeciesUnclear
from yard.services.import_columns import TARGETS, Choices, Mapped
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.species import Species

OURS = ("ours", "us", "own", "-", "–")


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong: the row as the spreadsheet counts it, the column's heading, what stands there, what to do."""

    row: int
    column: str
    typed: str
    message: str
    asked: bool = False  # a name of a wood that the person is asked about once for all rows


@dataclass(slots=True)
class Reading:
    """Everything that was read from a file: rows that could be saved, by column, and problems; nothing is saved yet."""

    rows_read: list[dict[str, Any]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    new_contacts: dict[str, str] = field(default_factory=dict)  # lower-case name to name as typed
    contact_roles: dict[str, set[str]] = field(default_factory=dict)
    unclear_species: dict[str, tuple[Species, ...]] = field(default_factory=dict)
    rows: int = 0  # those with a problem too


class RowReader:
    """Reads rows one after another against what the yard holds, which was fetched once."""

    kind: ImportKind

    def __init__(self, choices: Choices, tags: Iterable[str]) -> None:
        self.choices = choices
        self.today: date = timezone.localdate()
        self.cells = CellReader(
            decimal_comma=choices.decimal_comma, dates=choices.dates, today=self.today, species=choices.species
        )
        self.needed = [target for target in TARGETS[self.kind] if target.needed]
        self.by_key = {mapped.target.key: mapped for mapped in choices.columns}
        self.reading = Reading()
        self.contacts = {name.strip().lower(): pk for pk, name in Contact.objects.values_list("pk", "name")}
        # small letters, so that capitals make no difference; None: the yard's own
        self.tags: dict[str, int | None] = dict.fromkeys(tag.lower() for tag in tags)

    def make(self, number: int, values: dict[str, Any]) -> dict[str, Any]:
        """The columns of what one row is; problems are noted by `wrong`, and `contact_id` may be a name yet."""
        raise NotImplementedError

    def read(self, rows: Iterable[tuple[int, Sequence[str]]], headings: Sequence[str]) -> Reading:
        """Read every row; the result's `rows_read` are complete only when it has no problems."""
        for number, cells in rows:
            self.reading.rows += 1
            if len(cells) > len(headings) and any(cells[len(headings) :]):
                self.wrong(
                    number,
                    None,
                    cells[len(headings)],
                    f"The row has {len(cells)} cells but there are {len(headings)} headings: "
                    "put quotation marks around a text that holds the mark between cells.",
                )
                continue
            before = len(self.reading.problems)
            values = self._values(number, cells)
            if len(self.reading.problems) == before:
                columns = self.make(number, values)
                if len(self.reading.problems) == before:
                    self.reading.rows_read.append(columns)
        self.reading.unclear_species = self.cells.unclear
        return self.reading

    def _values(self, number: int, cells: Sequence[str]) -> dict[str, Any]:
        """Each column's value; what cannot be read becomes a problem."""
        values: dict[str, Any] = {}
        for mapped in self.choices.columns:
            text = cells[mapped.place] if mapped.place < len(cells) else ""
            if text:
                try:
                    values[mapped.target.key] = self.cells.read(mapped, text)
                except BadCell as error:
                    asked = isinstance(error, SpeciesUnclear)
                    self.reading.problems.append(Problem(number, mapped.heading, text[:80], str(error), asked))
        for key, value in self.choices.for_all.items():
            if value and key not in values and not self._has_text(key, cells):
                values[key] = self._for_all(key, value)
        for target in self.needed:
            if target.key not in values and not self._has_text(target.key, cells):
                self.wrong(number, self.by_key.get(target.key), "", f"{target.words} is missing here.", target.words)
        self._tag(number, values)
        return values

    def _has_text(self, key: str, cells: Sequence[str]) -> bool:
        mapped = self.by_key.get(key)
        return mapped is not None and mapped.place < len(cells) and bool(cells[mapped.place])

    def _for_all(self, key: str, value: str) -> Any:
        return date.fromisoformat(value) if key.endswith("_on") else value

    def _tag(self, number: int, values: dict[str, Any]) -> None:
        tag = values.get("tag", "")
        if not tag:
            return
        low = tag.lower()
        if low in self.tags:
            row = self.tags[low]
            where = f"row {row} has it already" if row else "it is in the yard already"
            self.wrong(number, self.by_key["tag"], tag, f"The tag is doubled: {where}.")
        else:
            self.tags[low] = number

    def contact_id(self, number: int, role: str, values: dict[str, Any]) -> int | str | None:
        """The contact of a name; a name that is to be added first stays a name; nothing for ours."""
        name = " ".join(values.get(role, "").split())
        low = name.lower()
        if not name or (role == "owner" and low in OURS):
            return None
        if low in self.contacts:
            return self.contacts[low]
        if not self.choices.add_contacts:
            message = f"“{name}” is not among the contacts: add them, or tick “Add contacts that are missing”."
            self.wrong(number, self.by_key[role], name, message)
            return None
        self.reading.new_contacts.setdefault(low, name)
        self.reading.contact_roles.setdefault(low, set()).add(role)
        return low

    def within(self, number: int, key: str, value: float, low: float, high: float, unit: str) -> None:
        mapped = self.by_key.get(key)
        try:
            require_range(mapped.target.words if mapped else key, value, low, high, unit)
        except OutsideRange as error:
            self.wrong(number, mapped, f"{value:g} {unit}", f"{error}.")

    def wrong(self, number: int, mapped: Mapped | None, text: str, message: str, column: str = "") -> None:
        heading = mapped.heading if mapped else column or "the row"
        self.reading.problems.append(Problem(number, heading, text[:80], message))
