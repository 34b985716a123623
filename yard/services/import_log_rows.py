"""Rows of a spreadsheet as logs."""

from dataclasses import asdict
from typing import Any

from yard.models import ImportKind, Log
from yard.services.import_columns import Choices
from yard.services.import_rows import RowReader
from yard.services.log_scale import scale_of

SAME_COLUMNS = (
    "small_end_in", "large_end_in", "length_ft", "where_from", "felled_on", "defect_pct", "defect_note", "cost",
    "ends_sealed_on", "note",
)  # fmt: skip


class LogRowReader(RowReader):
    """Reads rows that are logs; `log_rule` is the ticket's where no column says it."""

    kind = ImportKind.LOGS

    def __init__(self, choices: Choices, *, log_rule: str) -> None:
        super().__init__(choices, Log.objects.values_list("tag", flat=True))
        self.log_rule = log_rule

    def make(self, number: int, values: dict[str, Any]) -> dict[str, Any]:
        """The columns of the log of one row."""
        small, large, length = values["small_end_in"], values.get("large_end_in"), values["length_ft"]
        self.within(number, "small_end_in", small, 1, 120, "in")
        if large is not None:
            self.within(number, "large_end_in", large, 1, 120, "in")
            if large < small:
                message = "The large end is smaller than the small end: look whether they are swapped."
                self.wrong(number, self.by_key["large_end_in"], f"{large:g} in", message)
        self.within(number, "length_ft", length, 1, 80, "ft")
        self.within(number, "defect_pct", values.get("defect_pct", 0.0), 0, 100, "%")
        arrived, felled = values.get("arrived_on") or self.today, values.get("felled_on")
        if felled and felled > arrived:
            message = "It was felled after it arrived: look at both dates."
            self.wrong(number, self.by_key["felled_on"], str(felled), message)
        return {
            "tag": values["tag"],
            "species_key": values["species"],
            "arrived_on": arrived,
            "rule": values.get("rule", self.log_rule),
            "owner_id": self.contact_id(number, "owner", values),
            "supplier_id": self.contact_id(number, "supplier", values),
            **{key: values[key] for key in SAME_COLUMNS if key in values},
            **asdict(scale_of(small, large, length)),
        }
