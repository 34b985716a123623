"""The ways through the pages: tab bar on a phone, side list at the desk, and the page "More"."""

import re
from dataclasses import dataclass, replace
from typing import Any

from django.urls import reverse

from yard import access


@dataclass(frozen=True)
class Place:
    """One way: its words, its URL name, and a line about it. Pages whose path begins with its own belong to it.

    `pages` is a pattern of further paths that belong to it though they stand below another's.
    """

    words: str
    url_name: str
    about: str = ""
    pages: str = ""


TODAY = Place("Today", "yard:today", "What to do, what goes wrong, what is ready")
SAW = Place("Saw", "yard:saw", "The log on the mill, slab by slab", r"/logs/\d+/saw/")
WEIGH = Place("Weigh", "yard:weigh", "Weights and meter readings")
STACKS = Place("Stacks", "yard:stacks", "What dries where, and how dry it is")
MORE = Place("More", "yard:more", "Everything else")

TABS = (TODAY, SAW, WEIGH, STACKS, MORE)

GROUPS: list[tuple[str, tuple[Place, ...]]] = [
    (
        "Wood",
        (
            TODAY,
            Place("Logs", "yard:logs", "Take in and scale logs"),
            SAW,
            Place("Slabs", "yard:slabs", "Find any piece"),
            STACKS,
        ),
    ),
    (
        "Drying",
        (
            WEIGH,
            Place("Round", "yard:round", "What to measure today, in walking order, also without signal"),
            Place("Ready", "yard:ready", "Ready for the kiln, and what is at risk"),
            Place("Map", "yard:map", "Where everything stands"),
            Place("Bays", "yard:bays", "Places for stacks and their air"),
            Place("Weather", "yard:weather", "The yard's weather, files and sensors"),
        ),
    ),
    (
        "Yard",
        (
            Place("Labels", "yard:labels", "QR labels for logs, slabs, stacks, samples and bays"),
            Place("Find by code", "yard:code-find", "A label that is torn or lost"),
            Place("Contacts", "yard:contacts", "Buyers, suppliers, owners of wood"),
            Place("Import", "yard:import", "Bring in a spreadsheet of logs or slabs"),
            Place("History", "yard:history", "Who changed what, and when"),
            Place("People", "yard:people", "Who may log in"),
            Place("Yard settings", "yard:yard-settings", "Place, units, money, log rule"),
        ),
    ),
]


@dataclass(frozen=True)
class Way:
    """A place as one person sees it from one page."""

    words: str
    about: str
    href: str
    here: str  # for aria-current: "page" on the page itself, "true" on one that belongs to it, "" elsewhere


def register(words: str, places: tuple[Place, ...]) -> None:
    """Add another app's group of places, before that of the yard's own affairs."""
    if (words, places) not in GROUPS:
        GROUPS.insert(len(GROUPS) - 1, (words, places))


def ways(places: tuple[Place, ...], person: Any, path: str) -> list[Way]:
    """The places that this person may open; one without a row in the permission table is left out."""
    open_to = [place for place in places if access.may(person, place.url_name)]
    hrefs = [reverse(place.url_name) for place in open_to]
    named = [href for place, href in zip(open_to, hrefs, strict=True) if place.pages and re.match(place.pages, path)]
    here = named[0] if named else max((href for href in hrefs if _is_under(path, href)), key=len, default="")
    mark = "page" if path == here else "true"
    return [
        Way(place.words, place.about, href, mark if href == here else "")
        for place, href in zip(open_to, hrefs, strict=True)
    ]


def tabs(person: Any, path: str) -> list[Way]:
    """The tab bar; a page that has no tab of its own belongs to "More"."""
    found = ways(TABS, person, path)
    if found and not any(way.here for way in found):
        found[-1] = replace(found[-1], here="true")
    return found


def groups(person: Any, path: str) -> list[tuple[str, list[Way]]]:
    """All places by group, for the side list and the page "More"; none for who is not logged in."""
    if not getattr(person, "is_authenticated", False):
        return []  # a page open to anybody is not for the menu of the log-in page
    found = [(words, ways(places, person, path)) for words, places in GROUPS]
    return [(words, some) for words, some in found if some]


def _is_under(path: str, href: str) -> bool:
    return path == href if href == "/" else path.startswith(href)
