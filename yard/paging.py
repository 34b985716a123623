"""Pages of a list without counting it: what a page costs does not grow with the list."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest

Row = TypeVar("Row")
LAST_PAGE = 1_000  # further on a filter finds things sooner


@dataclass(frozen=True)
class Page(Generic[Row]):
    """The rows of one page, and whether others follow."""

    rows: Sequence[Row]
    number: int
    has_next: bool

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def has_previous(self) -> bool:
        return self.number > 1

    @property
    def has_other_pages(self) -> bool:
        return self.has_previous or self.has_next

    @property
    def previous_page_number(self) -> int:
        return self.number - 1

    @property
    def next_page_number(self) -> int:
        return self.number + 1


def page_of(rows: QuerySet[Any], request: HttpRequest, size: int = 50) -> Page[Any]:
    """The page of `?page=` (one, when that is no number): one query, one row more than is shown."""
    typed = request.GET.get("page", "1")
    number = min(int(typed), LAST_PAGE) if typed.isascii() and typed.isdigit() and int(typed) > 0 else 1
    start = (number - 1) * size
    found = list(rows[start : start + size + 1])
    return Page(found[:size], number, len(found) > size and number < LAST_PAGE)
