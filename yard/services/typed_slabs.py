"""Slabs as they are typed or scanned: codes and tags one after another, in the order in which they lie."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import Value
from django.db.models.functions import Lower

from yard.models import Log, Slab
from yard.models.base import CODE_ALPHABET, CODE_LENGTH

CODE = re.compile(rf"[{CODE_ALPHABET}]{{{CODE_LENGTH}}}", re.IGNORECASE)
BETWEEN = re.compile(r"[,;\t]+")
ADDRESS = re.compile(r"https?://\S*", re.IGNORECASE)
MOST_WORDS = 2000


@dataclass(slots=True)
class TypedSlabs:
    """What was understood: one list of slabs a line, in order, and the words that name nothing."""

    lines: list[list[Slab]] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    twice: list[str] = field(default_factory=list)

    @property
    def slabs(self) -> list[Slab]:
        return [slab for line in self.lines for slab in line]

    @property
    def line_numbers(self) -> list[int]:
        """For each slab the number of its line, counted from 1 and without empty lines."""
        return [number for number, line in enumerate(self.lines, start=1) for _slab in line]


def slabs_typed(text: str) -> TypedSlabs:
    """Read tags, label codes and scanned label addresses; a log's tag stands for its loose slabs in sawing order.

    A line, or a part of it between commas, may be a tag with spaces in it; else its words are taken one by one.
    A slab named again is left out and told. Always two queries, or three where logs are named.
    """
    lines = [[piece.strip() for piece in BETWEEN.split(line) if piece.strip()] for line in text.splitlines()]
    words = {word for line in lines for piece in line for word in (piece, *piece.split())}
    if len(words) > MOST_WORDS:
        return TypedSlabs(unknown=[f"more than {MOST_WORDS} words"])
    named = _slabs_named(words)
    logs = _logs_named(words - named.keys())
    return _in_order(lines, named, logs)


def _in_order(lines: Sequence[Sequence[str]], named: dict[str, Slab], logs: dict[str, list[Slab]]) -> TypedSlabs:
    typed, seen = TypedSlabs(), set()
    for line in lines:
        laid: list[Slab] = []
        for piece in line:
            for word in [piece] if piece in named or piece in logs else piece.split():
                found = [named[word]] if word in named else logs.get(word)
                if found is None:
                    typed.unknown.append(word)
                for slab in found or ():
                    if slab.pk in seen:
                        typed.twice.append(slab.tag)
                        continue
                    seen.add(slab.pk)
                    laid.append(slab)
        if laid:
            typed.lines.append(laid)
    return typed


def code_in(word: str) -> str:
    """The short code that a word is, or ends with when it is a scanned label's address; else nothing.

    >>> code_in("k7m2p9"), code_in("https://yard.example/s/K7M2P9/"), code_in("24-07-3")
    ('K7M2P9', 'K7M2P9', '')
    """
    if ADDRESS.fullmatch(word):
        word = word.rstrip("/").rsplit("/", 1)[-1]
    return word.upper() if CODE.fullmatch(word) else ""


def _slabs_named(words: set[str]) -> dict[str, Slab]:
    """By word as typed; a tag goes before a code that happens to spell it."""
    codes = {code: word for word in words if (code := code_in(word))}
    related = Slab.objects.select_related("stack", "cohort__estimate", "cohort__stack")
    by_code = {codes[slab.code]: slab for slab in related.filter(code__in=codes)}
    by_tag = {slab.tag.lower(): slab for slab in _with_tags(related, words)}
    return by_code | {word: by_tag[word.lower()] for word in words if word.lower() in by_tag}


def _logs_named(words: set[str]) -> dict[str, list[Slab]]:
    """Loose slabs of each log named by its tag, in sawing order."""
    if not words:
        return {}
    logs = {log.pk: log.tag.lower() for log in _with_tags(Log.objects.all(), words)}
    by_tag: dict[str, list[Slab]] = {tag: [] for tag in logs.values()}
    if logs:
        loose = Slab.objects.loose().filter(log__in=logs).select_related("stack", "cohort__estimate", "cohort__stack")
        for slab in loose.order_by("position", "id"):
            by_tag[logs[slab.log_id]].append(slab)
    return {word: by_tag[word.lower()] for word in words if word.lower() in by_tag}


def _with_tags(rows, words: Iterable[str]):
    return rows.alias(low=Lower("tag")).filter(low__in=[Lower(Value(word)) for word in words])
