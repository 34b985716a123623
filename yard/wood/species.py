"""The species table: what is known of each wood, and where each group of figures was read."""

import csv
from dataclasses import dataclass, fields
from difflib import get_close_matches
from functools import cache
from pathlib import Path

from yard.wood.ranges import OutsideRange

_TABLE = Path(__file__).parent / "data" / "species.csv"


class UnknownSpecies(OutsideRange):
    """The species table has no such wood; `suggestions` holds the closest keys.

    >>> str(UnknownSpecies("oak-norther-red", ("oak-northern-red",)))
    'unknown species "oak-norther-red". Did you mean oak-northern-red?'
    """

    def __init__(self, typed: str, suggestions: tuple[str, ...]) -> None:
        self.typed, self.suggestions = typed, suggestions
        self.what, self.value, self.low, self.high, self.unit = "species", float("nan"), None, None, ""
        self.hint = f"Did you mean {', '.join(suggestions)}?" if suggestions else "See the species list."
        ValueError.__init__(self, f'unknown species "{typed}". {self.hint}')


class NoFigure(OutsideRange):
    """The sources at hand print no such figure for this wood.

    >>> str(NoFigure("Pecan", "heartwood green moisture"))
    'no published heartwood green moisture for Pecan'
    """

    def __init__(self, wood: str, figure: str, hint: str = "") -> None:
        self.what, self.value, self.low, self.high, self.unit = figure, float("nan"), None, None, ""
        self.wood, self.hint = wood, hint
        text = f"no published {figure} for {wood}"
        ValueError.__init__(self, f"{text}. {hint}" if hint else text)


@dataclass(frozen=True, slots=True)
class GreenMoisture:
    """A green moisture content with what it stands for: `part` heartwood, sapwood, both or whole tree."""

    mc_pct: float
    part: str
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind with a wood, and where it was read."""

    topic: str
    text: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Species:
    """One row of the species table; a figure that no source prints is None."""

    key: str
    common_name: str
    other_names: tuple[str, ...]
    botanical_name: str
    wood_class: str  # hardwood or softwood
    fia_code: int
    green_mc_heartwood_pct: float | None
    green_mc_sapwood_pct: float | None
    green_mc_source: str
    green_mc_provenance: str
    green_mc_average_pct: float  # whole tree, worked back from green weight: never a heartwood value
    green_mc_average_source: str
    green_mc_average_provenance: str
    basic_specific_gravity: float  # oven-dry weight over green volume
    basic_specific_gravity_source: str
    basic_specific_gravity_provenance: str
    shrink_radial_pct: float | None  # green to oven-dry
    shrink_tangential_pct: float | None
    shrink_volumetric_pct: float | None
    shrink_source: str
    shrink_provenance: str
    fibre_saturation_pct: float
    fibre_saturation_source: str
    fibre_saturation_provenance: str
    drying_group: str  # easy, moderate, slow or refractory
    drying_note: str
    drying_provenance: str
    pore_structure: str
    pore_provenance: str
    sawn_from: str  # which wood sawn stock mostly holds
    sawn_from_provenance: str
    decay_resistance: str  # of the heartwood
    decay_provenance: str
    lyctid_risk: str
    insect_note: str
    insect_provenance: str
    dust_note: str
    dust_provenance: str
    meter_note: str

    @property
    def plain_name(self) -> str:
        """The name as spoken: "northern red oak" for "Oak, northern red"."""
        return _spoken(self.common_name)

    @property
    def green_moisture(self) -> GreenMoisture:
        """The likeliest green MC of sawn stock: by its usual wood, or else the whole-tree average.

        >>> species("oak-northern-red").green_moisture.mc_pct
        80.0
        >>> species("pecan").green_moisture.part
        'whole tree'
        """
        heart, sap = self.green_mc_heartwood_pct, self.green_mc_sapwood_pct
        mostly_heart = self.sawn_from.startswith("heartwood")
        mostly_sap = self.sawn_from.startswith("sapwood") and "mixed" not in self.sawn_from
        if mostly_heart and heart is not None:
            return GreenMoisture(heart, "heartwood", self.green_mc_source, self.green_mc_provenance)
        if mostly_sap and sap is not None:
            return GreenMoisture(sap, "sapwood", self.green_mc_source, self.green_mc_provenance)
        if not (mostly_heart or mostly_sap) and heart is not None and sap is not None:
            mean = (heart + sap) / 2
            return GreenMoisture(mean, "both", self.green_mc_source, self.green_mc_provenance)
        return GreenMoisture(
            self.green_mc_average_pct,
            "whole tree",
            self.green_mc_average_source,
            self.green_mc_average_provenance,
        )

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to mind with this wood: drying, decay, insects, dust, meter.

        >>> [c.topic for c in species("oak-northern-red").cautions]
        ['drying', 'decay', 'insects', 'dust', 'meter']
        """
        rows = (
            ("drying", self.drying_note, self.drying_provenance),
            ("decay", f"heartwood: {self.decay_resistance}", self.decay_provenance),
            ("insects", self.insect_note, self.insect_provenance),
            ("dust", self.dust_note, self.dust_provenance),
            ("meter", self.meter_note, "memory, high"),
        )
        return tuple(Caution(topic, text, provenance) for topic, text, provenance in rows if text)


def all_species() -> tuple[Species, ...]:
    """Every species of the table, in its order.

    Returns 99 Species. Source: `data/species.csv`, each group of figures with its own.

    >>> len(all_species())
    99
    """
    return tuple(_by_key().values())


def species(key: "str | Species") -> Species:
    """Return one species by its key; a Species is handed back as it is.

    Parameters: `key` as in `species.csv`. Raises UnknownSpecies with the closest keys.

    >>> species("oak-northern-red").botanical_name
    'Quercus rubra'
    """
    if isinstance(key, Species):
        return key
    found = _by_key().get(str(key).strip().lower())
    if found is None:
        near = find_species(str(key)) if _words(str(key)) else ()
        raise UnknownSpecies(str(key), tuple(row.key for row in near[:3]))
    return found


def find_species(typed: str) -> tuple[Species, ...]:
    """Find species by what a person types: a common, trade or botanical name, either way round; best first.

    Returns the matches, all of them for empty text, none when nothing comes near. "Red oak" finds
    the northern one first: the usual red oak of the northern trade (common practice, no source).

    >>> find_species("red oak")[0].key, find_species("hard maple")[0].key, find_species("Acer rubrum")[0].key
    ('oak-northern-red', 'maple-sugar', 'maple-red')
    >>> find_species("nothern red oka")[0].key
    'oak-northern-red'
    """
    words = _words(typed)
    if not words:
        return all_species()
    ranks = {row.key: _rank(words, row) for row in all_species()}
    best = min(ranks.values())
    if best >= _NO_FIT:
        return _spelled_like(" ".join(words))
    limit = _INSIDE_A_WORD if best < _INSIDE_A_WORD else _NO_FIT
    fits = (row for row in all_species() if ranks[row.key] < limit)
    return tuple(sorted(fits, key=lambda row: ranks[row.key]))


_INSIDE_A_WORD = 6
_NO_FIT = 8


def _rank(words: tuple[str, ...], row: Species) -> int:
    """How well typed words fit: 0 a whole name; even ranks for the wood's own names, odd for trade names."""
    own = (row.common_name, row.key.replace("-", " "), row.botanical_name)
    return min(_rank_names(words, own), _rank_names(words, row.other_names) + 1)


def _rank_names(words: tuple[str, ...], names: tuple[str, ...]) -> int:
    split = [_words(name) for name in names]
    if any(sorted(words) == sorted(name) for name in split):
        return 0
    if any(all(word in name for word in words) for name in split):
        return 2
    if any(all(any(part.startswith(word) for part in name) for word in words) for name in split):
        return 4
    return _INSIDE_A_WORD if any(all(word in " ".join(name) for word in words) for name in split) else _NO_FIT


def _spelled_like(typed: str) -> tuple[Species, ...]:
    """The species of which a name is spelled much like the typed text."""
    spellings: dict[str, Species] = {}
    for row in all_species():
        for name in (row.common_name, row.plain_name, row.botanical_name, *row.other_names):
            spellings.setdefault(" ".join(_words(name)), row)
    near = get_close_matches(typed, list(spellings), n=5, cutoff=0.7)
    return tuple(dict.fromkeys(spellings[name] for name in near))


def _words(text: str) -> tuple[str, ...]:
    cleaned = "".join(sign if sign.isalnum() else " " for sign in text.lower())
    return tuple(cleaned.split())


NAMED_AFTER = ("Douglas", "Kentucky", "Osage")  # a person, a state, a people: these keep their capital


def _spoken(common_name: str) -> str:
    family, comma, kind = common_name.partition(", ")
    if not comma:
        proper = common_name.startswith(NAMED_AFTER)
        return common_name if proper else common_name[0].lower() + common_name[1:]
    kind, bracket, remark = kind.partition(" (")
    return f"{kind} {family[0].lower()}{family[1:]}{bracket}{remark}"


@cache
def _by_key() -> dict[str, Species]:
    with _TABLE.open(encoding="utf-8", newline="") as lines:
        return {row["key"]: _from_row(row) for row in csv.DictReader(lines)}


def _from_row(row: dict[str, str]) -> Species:
    values: dict[str, object] = dict(row)
    for field in fields(Species):
        text = row[field.name]
        if field.type is float or field.type == float | None:
            values[field.name] = float(text) if text else None
    values["fia_code"] = int(row["fia_code"])
    values["other_names"] = tuple(name for name in row["other_names"].split(";") if name)
    return Species(**values)  # type: ignore[arg-type]
