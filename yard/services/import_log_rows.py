"""Rows of a spreadsheet as logs."""

from typing import Any

from yard.models import ImportKind, Log
from yard.services.import_columns import Choices
from yard.services.import_rows import RowReader
from yard.services.log_scale import scale_of


class LogRowReader(RowReader):
    """Reads rows that are logs; `log_rule` is the ticket's where no column says it."""

    kind = ImportKind.LOGS

    def __init__(self, choices: Choices, *, log_rule: str) -> None:
        super().__init__(choices, Log.objects.values_list("tag", flat=True))
        self.log_rule = log_rule

    def make(self, number: int, values: dict[str, Any]) -> tuple[Log, dict[str, Any]]:
        """The log, and the contacts that it gets once those exist."""
        small, large, length = values["small_end_in"], values.get("large_end_in"), values["length_ft"]
        self.within(number, "small_end_in", small, 1, 120, "in")
        if large is not None:
            self.within(number, "large_end_in", large, 1, 120, "in")
            if large < small:
                self.wrong(
                    number, self.by_key["large_end_in"], f"{large:g} in", "The large end is smaller than the small end."
                )
        self.within(number, "length_ft", length, 1, 80, "ft")
        self.within(number, "defect_pct", values.get("defect_pct", 0.0), 0, 100, "%")
        arrived, felled = values.get("arrived_on") or self.today, values.get("felled_on")
        if felled and felled > arrived:
            self.wrong(
                number, self.by_key["felled_on"], str(felled), "It was felled after it arrived: look at both dates."
            )
        later = self.contacts_of(number, values, (("owner", "owner"), ("supplier", "supplier")))
        scale = scale_of(small, large, length)
        log = Log(
            tag=values["tag"], species_key=values["species"], where_from=values.get("where_from", ""),
            felled_on=felled, arrived_on=arrived, small_end_in=small, large_end_in=large, length_ft=length,
            defect_pct=values.get("defect_pct", 0.0), defect_note=values.get("defect_note", ""),
            rule=values.get("rule", self.log_rule), doyle_bf=scale.doyle_bf, scribner_bf=scale.scribner_bf,
            international_bf=scale.international_bf, cubic_ft3=scale.cubic_ft3, cost=values.get("cost"),
            ends_sealed_on=values.get("ends_sealed_on"), note=values.get("note", ""),
        )  # fmt: skip
        return log, later
