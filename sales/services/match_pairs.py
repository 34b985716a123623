"""Pieces that lay beside each other in one log, ranked by how well they answer what was asked.

What is dry goes before what still dries, by its date; then what wastes least of its width and length and is most alike
in width. How the two are weighed against each other is our own choice, no source: a tenth too wide counts as much as
widths that differ by a tenth.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from yard import quantities as shown

if TYPE_CHECKING:
    from sales.services.matching import Offer, Wanted

NOT_BESIDE = "no piece that lay beside it is free and fits"


def keep_matched(offers: Sequence[Offer], wanted: Wanted) -> None:
    """Of pieces that fit those stay that lay beside each other; each gets its rank. The others fall short, and say so.

    A piece is in one set only: the best sets are made first.
    """
    size = wanted.count or 2
    sets = sorted(_sets(offers, size), key=lambda some: (*_rank(some, wanted), some[0].slab.tag))
    place = 0
    for some in sets:
        if any(one.beside for one in some):
            continue
        place += 1
        tags = " and ".join(one.slab.tag for one in some)
        words = f"{tags} lay beside each other in log {some[0].slab.log.tag}, {_alike_words(some)}"
        for one in some:
            one.beside, one.rank = tags, place
            one.why.append(words)
    for one in offers:
        if one.fits and not one.beside:
            one.short.append(NOT_BESIDE)


def _sets(offers: Sequence[Offer], size: int) -> list[list[Offer]]:
    by_log: dict[tuple[int, float], list[Offer]] = {}
    for one in offers:
        if one.fits and one.slab.log_id and one.slab.position:
            by_log.setdefault((one.slab.log_id, one.slab.quarters), []).append(one)
    found = []
    for some in by_log.values():
        some.sort(key=lambda one: one.slab.position)
        for start in range(len(some) - size + 1):
            window = some[start : start + size]
            if window[-1].slab.position - window[0].slab.position == size - 1:
                found.append(window)
    return found


def _rank(some: Sequence[Offer], wanted: Wanted) -> tuple[date, float]:
    ready = max(one.ready_on for one in some)
    over = 0.0
    if wanted.min_width_in:
        over += sum(one.width.width_in / wanted.min_width_in - 1 for one in some) / len(some)
    if wanted.length_in:
        over += sum(one.length_in / wanted.length_in - 1 for one in some) / len(some)
    widths = [one.width.width_in for one in some]
    return ready, over + (max(widths) - min(widths)) / max(widths)


def _alike_words(some: Sequence[Offer]) -> str:
    widths = [one.width.width_in for one in some]
    apart_in = max(widths) - min(widths)
    return "as wide as each other" if apart_in < 0.05 else f"{shown.width(apart_in)} apart in width"
