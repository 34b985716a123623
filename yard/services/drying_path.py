"""The daily path of a stored estimate: how wet the wood was and will be, day by day. Nothing is computed anew."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from yard.models import Estimate


@dataclass(frozen=True, slots=True)
class DryingPath:
    """Columns by day from `first`; MC of the mean and EMC of the air [%]. Row `now` is the day of the estimate.

    `air_from` and `bays` reach up to `now` alone: the days that have been.
    """

    first: date
    now: int
    low_pct: list[float]
    mid_pct: list[float]
    high_pct: list[float]
    emc_pct: list[float]
    frozen: list[bool]
    air_from: list[str]
    bays: list[str]

    def __len__(self) -> int:
        return len(self.mid_pct)

    @property
    def last(self) -> date:
        return self.day(len(self) - 1)

    def day(self, number: int) -> date:
        """The date of a row."""
        return self.first + timedelta(days=number)

    def row(self, day: date) -> int | None:
        """The row of a date, None outside the path."""
        number = (day - self.first).days
        return number if 0 <= number < len(self) else None

    def mid_on(self, day: date) -> float | None:
        """The likeliest mean MC [%] on a date."""
        row = self.row(day)
        return None if row is None else self.mid_pct[row]

    @property
    def emc_now_pct(self) -> float | None:
        """The EMC of the air on the last day that has been [%]."""
        return self.emc_pct[min(self.now, len(self.emc_pct)) - 1] if self.now and self.emc_pct else None

    def frozen_spells(self) -> list[tuple[date, date]]:
        """First and last day of every run of days below freezing."""
        spells: list[tuple[date, date]] = []
        for number, is_frozen in enumerate(self.frozen):
            if not is_frozen:
                continue
            day = self.day(number)
            if spells and (day - spells[-1][1]).days == 1:
                spells[-1] = (spells[-1][0], day)
            else:
                spells.append((day, day))
        return spells


def drying_path(estimate: Estimate | None) -> DryingPath | None:
    """The path of an estimate; None where there is none, as with one that was superseded."""
    if estimate is None or not estimate.path:
        return None
    path: dict[str, Any] = estimate.path
    frozen = [bool(one) for one in path.get("frozen", [])]
    return DryingPath(
        first=date.fromisoformat(path["first"]),
        now=path.get("now", max(0, len(path["mid"]) - 1)),
        low_pct=path["low"],
        mid_pct=path["mid"],
        high_pct=path["high"],
        emc_pct=path.get("emc", []),
        frozen=frozen,
        air_from=path.get("air_from", []),
        bays=path.get("bays", []),
    )
