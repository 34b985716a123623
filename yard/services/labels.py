"""Labels: which things are printed, and which thing a scanned or typed code belongs to."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from django.db.models import Q

from yard.models import Log
from yard.models.base import CODE_ALPHABET
from yard.services.label_kinds import KINDS, LabelKind
from yard.services.label_pdf import Label, labels_pdf
from yard.services.label_sizes import BY_KEY, MM

MOST_LABELS = 600
LOCAL_NAMES = {"localhost", "127.0.0.1", "::1"}
CODE = re.compile(f"^[{CODE_ALPHABET}]{{4,8}}$")


@dataclass(frozen=True)
class Found:
    """A thing found by its code or its tag, and the page that it opens."""

    kind: LabelKind
    thing: Any
    tag: str
    href: str
    by_code: bool


class NothingToPrint(ValueError):  # noqa: N818 - reads as the sentence it is
    """No thing, or too many, for one print."""


def code_clean(text: str) -> str:
    """What was typed or scanned as a code: capitals without spaces and dashes, of a whole address its last part.

    >>> code_clean("abc-234"), code_clean("https://yard.local/C/K7M2QX/")
    ('ABC234', 'K7M2QX')
    """
    if "/" in text:
        text = urlsplit(text.strip()).path.rstrip("/").rpartition("/")[2]
    return re.sub(r"[\s\-.]", "", text).upper()


def find_by_code(text: str) -> Found | None:
    """The one thing whose label carries this code."""
    code = code_clean(text)
    if not CODE.match(code):
        return None
    for kind in KINDS.values():
        thing = kind.fetch().filter(code=code).first()
        if thing is not None:
            return Found(kind, thing, str(getattr(thing, kind.tag_field)), kind.page(thing), True)
    return None


def find(text: str, most: int = 20) -> list[Found]:
    """What somebody means who types a code, a tag or the beginning of a tag; exact ones alone if there are any."""
    by_code = find_by_code(text)
    if by_code is not None:
        return [by_code]
    wanted = text.strip()
    if not wanted:
        return []
    for match in ("iexact", "istartswith"):
        found = [
            Found(kind, thing, str(getattr(thing, kind.tag_field)), kind.page(thing), False)
            for kind in KINDS.values()
            for thing in kind.fetch()
            .filter(kind.standing, **{f"{kind.tag_field}__{match}": wanted})
            .order_by("id")[:most]
        ]
        if found:
            return found[:most]
    return []


def label_url(base: str, code: str) -> str:
    """The address in a QR code, in capitals: its code then needs fewer and larger squares.

    >>> label_url("https://yard.local:8443/", "K7M2QX")
    'HTTPS://YARD.LOCAL:8443/C/K7M2QX'
    """
    return f"{base.rstrip('/')}/C/{code}".upper()


def only_this_machine(base: str) -> bool:
    """Whether an address leads a phone nowhere, since it names the machine itself."""
    return (urlsplit(base).hostname or "") in LOCAL_NAMES


def things_chosen(
    noun: str,
    *,
    ids: Iterable[int] = (),
    log: Log | None = None,
    stack_id: int | None = None,
    typed: Sequence[str] = (),
) -> list[Any]:
    """The things to print, in the order given; by id, all slabs of a log or a stack, or by tag or code typed.

    Errors: NothingToPrint naming what was not found.
    """
    kind = KINDS[noun]
    if log is not None:
        return list(kind.fetch().filter(kind.standing, log=log).order_by("position", "id"))
    if stack_id is not None:
        where = {"slab": {"stack": stack_id}, "sample": {"cohort__stack": stack_id}}[noun]
        return list(kind.fetch().filter(kind.standing, **where).order_by("id"))
    wanted = list(ids)
    if wanted:
        by_id = {thing.pk: thing for thing in kind.fetch().filter(pk__in=wanted)}
        return [by_id[pk] for pk in wanted if pk in by_id]
    return [_typed(kind, word) for word in typed]


def _typed(kind: LabelKind, word: str) -> Any:
    wanted = Q(**{f"{kind.tag_field}__iexact": word}) | Q(code=code_clean(word))
    thing = kind.fetch().filter(wanted).first()
    if thing is None:
        raise NothingToPrint(f"No {kind.noun} has the tag or code {word}: look at its spelling.")
    return thing


def labels_print(
    *, noun: str, things: Sequence[Any], base: str, size_key: str, first_place: int = 1, copies: int = 1,
    nudge_mm: tuple[float, float] = (0.0, 0.0),
) -> bytes:  # fmt: skip
    """The labels of these things as PDF, each so many times. Errors: NothingToPrint for none or too many."""
    kind, size = KINDS[noun], BY_KEY[size_key]
    if not things:
        raise NothingToPrint(f"There is no {kind.noun} to print a label for.")
    if len(things) * copies > MOST_LABELS:
        raise NothingToPrint(f"That is {len(things) * copies} labels; print at most {MOST_LABELS} at once.")
    labels = [
        Label(str(getattr(thing, kind.tag_field)), tuple(kind.lines(thing)), thing.code, label_url(base, thing.code))
        for thing in things
        for _ in range(copies)
    ]
    nudge_pt = (nudge_mm[0] * MM, nudge_mm[1] * MM)
    place = min(first_place, size.on_a_sheet) - 1
    return labels_pdf(labels, size, first_place=place, nudge_pt=nudge_pt, title=f"Labels: {kind.words.lower()}")
