"""How promises hold: the share of nine-in-ten dates, and of middle dates, over simulated yard-years."""

from collections.abc import Iterator

from tests.bench.figures import Figure
from tests.bench.promise_years import Kept, yard_years

YEARS = 200


def figures(count: int = YEARS) -> Iterator[Figure]:
    """No database: the estimate, the kiln and the promise are pure."""
    kept = list(yard_years(count))
    dated = [one for one in kept if one.promise.nine_in_ten is not None]
    got = f"{len(dated)} of {count} yard-years got one"
    yield Figure(f"nine-in-ten dates that held, {got}", _held(dated), "%", "85 to 95")
    yield Figure("middle dates that held", _by_middle(kept), "%", "about 50")
    for words, some in (
        ("one wood", [one for one in dated if not one.two_woods]),
        ("two woods", [one for one in dated if one.two_woods]),
        ("a free kiln", [one for one in dated if not one.runs_before]),
        ("runs before ours", [one for one in dated if one.runs_before]),
    ):
        yield Figure(f"nine-in-ten dates that held, {words}, {len(some)}", _held(some), "%", "as measured")
    margins = sorted((one.promise.nine_in_ten - one.promise.middle).days for one in dated)
    yield Figure("days between the two dates, middle case", margins[len(margins) // 2], "days", "as measured")


def _held(kept: list[Kept]) -> float:
    return 100.0 * sum(one.held for one in kept) / len(kept) if kept else 0.0


def _by_middle(kept: list[Kept]) -> float:
    return 100.0 * sum(one.by_middle for one in kept) / len(kept)
