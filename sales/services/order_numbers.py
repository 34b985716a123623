"""Numbers of orders and documents: prefix, year, and counting from 1 in each year."""

import re
from collections.abc import Callable, Iterable
from typing import TypeVar

from django.db import IntegrityError, transaction

T = TypeVar("T")
MOST_TRIES = 20  # two people asking at the same moment get the same next number; then the second tries again


def number_after(taken: Iterable[str], *, prefix: str, year: int) -> str:
    """The next number of a year, one after the highest there is.

    >>> number_after(["I-2026-009", "I-2026-010", "I-2025-311", "I-2026-x"], prefix="I-", year=2026)
    'I-2026-011'
    >>> number_after([], prefix="", year=2026)
    '2026-001'
    """
    shape = re.compile(rf"{re.escape(prefix)}{year}-(\d+)")
    counted = [int(match[1]) for text in taken if (match := shape.fullmatch(text))]
    return f"{prefix}{year}-{max(counted, default=0) + 1:03d}"


def with_next_number(taken: Callable[[str], Iterable[str]], save: Callable[[str], T], *, prefix: str, year: int) -> T:
    """Save under the next free number; when somebody takes it at the same moment, under the one after.

    Parameters: taken gives the numbers that begin so; save inserts the row and lets IntegrityError out.
    """
    for _ in range(MOST_TRIES - 1):
        number = number_after(taken(f"{prefix}{year}-"), prefix=prefix, year=year)
        try:
            with transaction.atomic():
                return save(number)
        except IntegrityError:
            if number not in set(taken(f"{prefix}{year}-")):
                raise
    return save(number_after(taken(f"{prefix}{year}-"), prefix=prefix, year=year))
