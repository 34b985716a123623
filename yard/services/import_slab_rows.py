"""Rows of a spreadsheet as slabs."""

from typing import Any

from yard.models import Bay, ImportKind, Log, LogState, Slab, SlabKind, SlabState, WidthBasis
from yard.services.import_cells import FEATURES
from yard.services.import_columns import Choices
from yard.services.import_rows import RowReader
from yard.services.refused import SlabRefused
from yard.services.slab_fits import refuse_unless_fits
from yard.services.slab_sizes import sizes_set
from yard.wood.ranges import OutsideRange

MORE_WIDTHS = ("width_2", "width_3", "width_4", "width_5")


class SlabRowReader(RowReader):
    """Reads rows that are slabs: bought in, or of a log that the yard has."""

    kind = ImportKind.SLABS

    def __init__(self, choices: Choices) -> None:
        super().__init__(choices, Slab.objects.values_list("tag", flat=True))
        self.bays = {bay.name.lower(): bay for bay in Bay.objects.filter(closed_on__isnull=True)}
        self.logs: dict[str, Log] = {}
        self.places: dict[int, set[int]] = {}
        if "log" in self.by_key:
            self.logs = {log.tag.lower(): log for log in Log.objects.exclude(state=LogState.VOID)}
            self.places = _places_taken()

    def make(self, number: int, values: dict[str, Any]) -> tuple[Slab, dict[str, Any]]:
        """The slab, and the contacts that it gets once those exist."""
        log = self._log_of(number, values)
        species_key = values.get("species") or (log.species_key if log else "")
        if not species_key:
            self.wrong(
                number, self.by_key.get("species"), "", "Species is missing here, and no log says it.", "Species"
            )
        slab = Slab(
            tag=values["tag"], log=log, position=self._position(number, log, values), species_key=species_key,
            width_basis=values.get("width_basis", WidthBasis.NARROW_FACE), grade=values.get("grade", ""),
            figure=values.get("figure", ""), matched_set=values.get("matched_set", ""),
            sawn_on=values.get("sawn_on") or self.today, ends_sealed_on=values.get("ends_sealed_on"),
            price=values.get("price"), note=values.get("note", ""), bay=self._bay(number, values),
            **{f"has_{feature}": feature in values.get("features", ()) for feature in FEATURES},
        )  # fmt: skip
        self._set_sizes(number, slab, values)
        self._set_dry(number, slab, values)
        later = self.contacts_of(number, values, (("owner", "owner"),))
        if "owner" not in values and log is not None and log.owner_id:
            slab.owner_id = log.owner_id
        return slab, later

    def _set_sizes(self, number: int, slab: Slab, values: dict[str, Any]) -> None:
        widths = [*values["widths"], *(values[key] for key in MORE_WIDTHS if key in values)]
        slab.thickness_in, slab.length_in = values["thickness_in"], values["length"] * 12
        slab.count = values.get("count", 1)
        slab.kind = values.get("kind") or (SlabKind.LOT if slab.count > 1 else SlabKind.LIVE_EDGE)
        self.within(number, "thickness_in", slab.thickness_in, 0.1, 24, "in")
        self.within(number, "length", slab.length_in, 1, 960, "in")
        if slab.kind == SlabKind.LOT:
            if len(widths) > 1:
                self.wrong(number, self.by_key["widths"], "", "A lot has one width: give each width a row of its own.")
                return
            slab.tally = [{"width_in": widths[0], "length_in": slab.length_in, "count": slab.count}]
        else:
            slab.widths_in = widths
        slab.quarters = values.get("quarters", 0.0)
        try:
            sizes_set(slab, quarters_given=bool(slab.quarters))
            refuse_unless_fits(slab)
        except SlabRefused as error:
            key = {"widths_in": "widths", "tally": "widths", "length_in": "length"}.get(error.field, error.field)
            self.wrong(number, self.by_key.get(key), "", str(error), "Sizes")
        except OutsideRange as error:
            self.wrong(number, None, "", f"{error}.", "Sizes")

    def _set_dry(self, number: int, slab: Slab, values: dict[str, Any]) -> None:
        slab.dry_on, slab.dry_mc_pct = values.get("dry_on"), values.get("dry_mc_pct")
        if slab.dry_on:
            slab.state = SlabState.DRY
            if slab.dry_on < slab.sawn_on:
                self.wrong(
                    number,
                    self.by_key["dry_on"],
                    str(slab.dry_on),
                    "It was dry before it was sawn: look at both dates.",
                )
        elif slab.dry_mc_pct is not None:
            self.wrong(
                number,
                self.by_key["dry_mc_pct"],
                f"{slab.dry_mc_pct:g}",
                "An MC is kept with the day the piece was dry: fill “Dry since” too, or leave this column out.",
            )

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

    def _bay(self, number: int, values: dict[str, Any]) -> Bay | None:
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
