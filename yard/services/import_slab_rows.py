"""Rows of a spreadsheet as slabs."""

from typing import Any

from yard.models import Bay, ImportKind, Log, LogState, Slab, SlabKind, SlabState
from yard.services.import_columns import Choices
from yard.services.import_rows import RowReader
from yard.services.refused import SlabRefused
from yard.services.slab_fits import refuse_unless_fits
from yard.services.slab_sizes import sizes_set
from yard.wood.ranges import OutsideRange

MORE_WIDTHS = ("width_2", "width_3", "width_4", "width_5")
SAME_COLUMNS = (
    "width_basis", "grade", "figure", "matched_set", "ends_sealed_on", "dry_on", "dry_mc_pct", "price", "note",
)  # fmt: skip
SIZE_COLUMNS = (
    "kind", "count", "quarters", "thickness_in", "widths_in", "tally", "length_in", "mean_width_in", "narrowest_in",
    "area_in2", "green_bf",
)  # fmt: skip


class SlabRowReader(RowReader):
    """Reads rows that are slabs: bought in, or of a log that the yard has."""

    kind = ImportKind.SLABS

    def __init__(self, choices: Choices) -> None:
        super().__init__(choices, Slab.objects.values_list("tag", flat=True))
        open_bays = Bay.objects.filter(closed_on__isnull=True)
        self.bays = {name.lower(): pk for pk, name in open_bays.values_list("pk", "name")}
        self.measured = Slab()  # one for all rows: sizes are worked out on it and read off
        self.logs: dict[str, Log] = {}
        self.places: dict[int, set[int]] = {}
        if "log" in self.by_key:
            self.logs = {log.tag.lower(): log for log in Log.objects.exclude(state=LogState.VOID)}
            self.places = _places_taken()

    def make(self, number: int, values: dict[str, Any]) -> dict[str, Any]:
        """The columns of the slab of one row."""
        log = self._log_of(number, values)
        species_key = values.get("species") or (log.species_key if log else "")
        if not species_key:
            column = self.by_key.get("species")
            self.wrong(number, column, "", "Species is missing here, and no log says it.", "Species")
        columns = {
            "tag": values["tag"],
            "log_id": log.pk if log else None,
            "position": self._position(number, log, values),
            "species_key": species_key,
            "owner_id": self.contact_id(number, "owner", values),
            "sawn_on": values.get("sawn_on") or self.today,
            "bay_id": self._bay_id(number, values),
            **{key: values[key] for key in SAME_COLUMNS if key in values},
            **{f"has_{feature}": True for feature in values.get("features", ())},
        }
        if "owner" not in values and log is not None:
            columns["owner_id"] = log.owner_id
        return columns | self._sizes(number, log, values) | self._dry(number, columns)

    def _sizes(self, number: int, log: Log | None, values: dict[str, Any]) -> dict[str, Any]:
        """Sizes as typed, with what follows from them."""
        slab, widths = self.measured, [*values["widths"], *(values[key] for key in MORE_WIDTHS if key in values)]
        slab.log = log
        slab.thickness_in, slab.length_in = values["thickness_in"], values["length"] * 12
        slab.count, slab.quarters = values.get("count", 1), values.get("quarters", 0.0)
        slab.kind = values.get("kind") or (SlabKind.LOT if slab.count > 1 else SlabKind.LIVE_EDGE)
        slab.widths_in, slab.tally = widths, []
        self.within(number, "thickness_in", slab.thickness_in, 0.1, 24, "in")
        self.within(number, "length", slab.length_in, 1, 960, "in")
        if slab.kind == SlabKind.LOT:
            if len(widths) > 1:
                message = "A lot has one width: give each width a row of its own."
                self.wrong(number, self.by_key["widths"], "", message)
            slab.tally = [{"width_in": widths[0], "length_in": slab.length_in, "count": slab.count}]
            slab.widths_in = []
        try:
            sizes_set(slab, quarters_given=bool(slab.quarters))
            refuse_unless_fits(slab)
        except SlabRefused as error:
            key = {"widths_in": "widths", "tally": "widths", "length_in": "length"}.get(error.field, error.field)
            self.wrong(number, self.by_key.get(key), "", str(error), "Sizes")
        except OutsideRange as error:
            self.wrong(number, None, "", f"{error}.", "Sizes")
        return {name: getattr(slab, name) for name in SIZE_COLUMNS}

    def _dry(self, number: int, columns: dict[str, Any]) -> dict[str, Any]:
        dry_on, dry_mc_pct = columns.get("dry_on"), columns.get("dry_mc_pct")
        if dry_on and dry_on < columns["sawn_on"]:
            message = "It was dry before it was sawn: look at both dates."
            self.wrong(number, self.by_key["dry_on"], str(dry_on), message)
        if dry_mc_pct is not None and not dry_on:
            message = "An MC is kept with the day the piece was dry: fill “Dry since” too, or leave this column out."
            self.wrong(number, self.by_key["dry_mc_pct"], f"{dry_mc_pct:g}", message)
        return {"state": SlabState.DRY if dry_on else SlabState.SAWN}

    def _log_of(self, number: int, values: dict[str, Any]) -> Log | None:
        tag = values.get("log", "")
        if tag and tag.lower() not in self.logs:
            self.wrong(number, self.by_key["log"], tag, f"There is no log {tag} in the yard: import the logs first.")
        return self.logs.get(tag.lower()) if tag else None

    def _position(self, number: int, log: Log | None, values: dict[str, Any]) -> int | None:
        """The place in its log: as typed if it is free, else the next."""
        if log is None:
            return None
        taken = self.places.setdefault(log.pk, set())
        position = values.get("position")
        if position in taken:
            self.wrong(number, self.by_key["position"], str(position), f"Place {position} in log {log.tag} is taken.")
        position = position or max(taken, default=0) + 1
        taken.add(position)
        return int(position)

    def _bay_id(self, number: int, values: dict[str, Any]) -> int | None:
        name = values.get("bay", "")
        if name and name.lower() not in self.bays:
            self.wrong(
                number, self.by_key["bay"], name, f"There is no bay “{name}”: add it first, or leave this column out."
            )
        return self.bays.get(name.lower()) if name else None


def _places_taken() -> dict[int, set[int]]:
    """The places in each log that slabs have."""
    taken: dict[int, set[int]] = {}
    rows = Slab.objects.filter(log__isnull=False, position__isnull=False).exclude(state=SlabState.VOID)
    for log_id, position in rows.values_list("log_id", "position"):
        taken.setdefault(log_id, set()).add(position)
    return taken
