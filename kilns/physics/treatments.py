"""Heat treatments as published: what the core must reach and for how long."""

from dataclasses import dataclass
from functools import cache

from kilns.physics.tables import table

NOT_A_CERTIFICATE = (
    "A record of what the kiln's instruments showed. It is not a phytosanitary certificate: those are issued only "
    "under an approved programme of the plant health agency."
)
NO_LASTING_PROTECTION = (
    "Heat kills what is in the wood; it does not keep new insects out of open-pored sapwood (WH-GTR190 ch. 14), "
    "nor mould off wood that is still wet (WH-GTR190 ch. 20)."
)


@dataclass(frozen=True, slots=True)
class HeatTreatment:
    """One treatment: the core temperature [°F] and how long it must hold [min]."""

    key: str
    name: str
    applies_to: str
    core_f: float
    hold_min: float
    note: str
    source_key: str
    provenance: str


@cache
def heat_treatments() -> tuple[HeatTreatment, ...]:
    """The treatments in the order of the table, the usual one first.

    Source: row by row in data/heat_treatments.csv. Check: 133 °F (56 °C) for 30 minutes (ISPM-15, read).

    >>> first = heat_treatments()[0]
    >>> first.key, first.core_f, first.hold_min
    ('ispm-15', 133.0, 30.0)
    """
    return tuple(
        HeatTreatment(
            row["key"], row["name"], row["applies_to"], float(row["core_f"]), float(row["hold_min"]),
            row["note"], row["source_key"], row["provenance"],
        )
        for row in table("heat_treatments.csv")
    )  # fmt: skip


def heat_treatment(key: str) -> HeatTreatment:
    """Return one treatment by its key; a key that is not in the table is a KeyError that names those that are.

    >>> heat_treatment("firewood-canada").hold_min
    60.0
    """
    for one in heat_treatments():
        if one.key == key:
            return one
    raise KeyError(f"no heat treatment {key!r}; there are {', '.join(one.key for one in heat_treatments())}")
