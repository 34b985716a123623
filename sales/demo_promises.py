"""Past promises of the demo as the model makes them: dates from its simulation, and what happened drawn from it."""

from dataclasses import dataclass
from datetime import date
from math import ceil

import numpy as np

from sales.promises.promise import promise
from sales.promises.simulate import MEMBERS, Charge, KilnLine, Lot, simulate
from sales.promises.spread import Spread

ANY_DAY = date(2025, 1, 1)  # days count from the promise; the day itself makes no difference
RUN, RUNS_BEFORE, AFTER_DAYS = Spread(9.0, 13.0, 19.0), Spread(8.0, 12.0, 18.0), 3.0


@dataclass(frozen=True, slots=True)
class PastPromise:
    """Days from the promise to its middle and nine-in-ten date and to what happened."""

    middle: int
    safe: int
    happened: int
    holds_up: str


def past_promise(name: str, *, air: tuple[float, float, float] | None, runs_before: int, seed: int) -> PastPromise:
    """A promise for wood that dries outdoors so many days (low, middle, high), with so many runs before its own.

    What happened is one case of the simulation, chosen by the seed before anybody looks: it may be a late one.
    """
    before = tuple(Charge(f"before {number}", "another load", RUNS_BEFORE) for number in range(runs_before))
    ours = Charge("ours", name, RUN, lots=("wood",))
    lot = Lot("wood", name, Spread(*air) if air else None, "ours", AFTER_DAYS)
    kilns = [KilnLine("kiln", "Kiln", (*before, ours))]
    found = promise([lot], kilns, today=ANY_DAY, seed=seed)
    case = int(np.random.default_rng(seed).integers(MEMBERS))
    happened = ceil(float(simulate([lot], kilns, seed=seed).ready[case]))
    if found.middle is None or found.nine_in_ten is None:
        raise ValueError("the demo's past promises all have dates")
    return PastPromise(
        (found.middle - ANY_DAY).days, (found.nine_in_ten - ANY_DAY).days, happened, found.holds_up
    )  # fmt: skip
