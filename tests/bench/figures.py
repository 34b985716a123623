"""One line a figure, and the time and memory that a part took."""

import resource
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """A measured figure: `name: figure unit (goal)`."""

    name: str
    value: float
    unit: str
    goal: str

    def __str__(self) -> str:
        return f"{self.name}: {_short(self.value)} {self.unit} ({self.goal})"


def _short(value: float) -> str:
    if value == int(value) and abs(value) < 1e6:
        return f"{value:.0f}"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def best_of(times: int, work: Callable[[], object]) -> float:
    """Return the shortest of several runs [s]: the one least disturbed by other work on the machine."""
    found = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        found.append(time.perf_counter() - begin)
    return min(found)


def processor_seconds() -> float:
    """Return the processor time [s] of this process and of those it waited for: other work does not count."""
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)


def print_part(part: str, figures: Callable[[], Iterable[Figure]]) -> None:
    """Print a part's figures as they come, then its time and the process's peak memory."""
    begin = time.perf_counter()
    for figure in figures():
        print(figure, flush=True)
    print(Figure(f"{part}, time of this part", time.perf_counter() - begin, "s", "as measured"))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    megabytes = peak / (1024**2 if sys.platform == "darwin" else 1024)
    print(Figure(f"{part}, peak memory", megabytes, "MB", "as measured"), flush=True)
