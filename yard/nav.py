"""The ways through the pages: tab bar on a phone, side list at the desk, and the page "More"."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from yard import access


@dataclass(frozen=True)
class Place:
    """One way: its words, its URL name, and the URL names of the pages that belong under it."""

    words: str
    url_name: str
    about: str = ""
    under: tuple[str, ...] = ()


TODAY = Place("Today", "yard:today", "What to do, what goes wrong, what is ready")
SAW = Place("Saw", "yard:saw", "The log on the mill, slab by slab", ("yard:saw-log",))
WEIGH = Place("Weigh", "yard:weigh", "Weights and meter readings")
STACKS = Place("Stacks", "yard:stacks", "What dries where, and how dry it is", ("yard:stack-page", "yard:stack-build"))
MORE = Place("More", "yard:more", "Everything else")

TABS = (TODAY, SAW, WEIGH, STACKS, MORE)

GROUPS: tuple[tuple[str, tuple[Place, ...]], ...] = (
    (
        "Wood",
        (
            TODAY,
            Place("Logs", "yard:logs", "Take in and scale logs", ("yard:log-page", "yard:log-new")),
            SAW,
            Place("Slabs", "yard:slabs", "Find any piece", ("yard:slab-page",)),
            STACKS,
        ),
    ),
    (
        "Drying",
        (
            WEIGH,
            Place("Ready", "yard:ready", "Ready for the kiln, and what is at risk"),
            Place("Map", "yard:map", "Where everything stands"),
            Place("Bays", "yard:bays", "Places for stacks and their air", ("yard:bay-page", "yard:bay-new")),
            Place("Weather", "yard:weather", "The yard's weather, files and sensors"),
        ),
    ),
    (
        "Yard",
        (
            Place("Labels", "yard:labels", "QR labels for logs, slabs, stacks, samples and bays"),
            Place("Find by code", "yard:code-find", "A label that is torn or lost"),
            Place("Import", "yard:import", "Bring in a spreadsheet of logs or slabs"),
            Place("History", "yard:history", "Who changed what, and when"),
            Place("People", "yard:people", "Who may log in", ("yard:person",)),
            Place("Yard settings", "yard:yard-settings", "Place, units, money, log rule"),
        ),
    ),
)


@dataclass(frozen=True)
class Way:
    """A place as one person sees it from one page."""

    words: str
    about: str
    href: str
    here: bool


def ways(places: tuple[Place, ...], person: Any, here: str) -> Iterator[Way]:
    """The places that this person may open; one without a row in the permission table is left out."""
    for place in places:
        if access.may(person, place.url_name):
            is_here = here == place.url_name or here in place.under
            yield Way(place.words, place.about, reverse(place.url_name), is_here)


def groups(person: Any, here: str) -> list[tuple[str, list[Way]]]:
    """All places by group, for the side list and the page "More"."""
    found = [(words, list(ways(places, person, here))) for words, places in GROUPS]
    return [(words, some) for words, some in found if some]
