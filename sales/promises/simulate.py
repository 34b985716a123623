"""Simulating a promise: wood comes to the kiln's MC, waits for the kiln, is dried, heated, rests, is picked.

    found = simulate(
        [Lot("cohort 7", "walnut in A-3", air=Spread(20, 35, 60), charge="ours", after_days=3)],
        [KilnLine("kiln 1", "Solar kiln", (
            Charge("run 12", "Oak", starts_in_days=-4, days=Spread(8, 11, 15)),
            Charge("ours", "Walnut", days=Spread(12, 18, 27), lots=("cohort 7",)),
        ))],
    )
    found.days_at(0.9), found.days_at(0.5)

What two lots share moves them together: one cohort is one chance, the weather is in all drying outdoors, a kiln is
quick or slow in all its runs, and wood that is slow in the yard is slow in the kiln.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sales.promises.spread import Floats, Spread, chance, mixed

MEMBERS = 4096
WEATHER_SHARE = 0.2
# of the variance of a drying time outdoors that all stacks of a yard share (our choice, no source)
WOOD_SHARE, KILN_SHARE = 0.5, 0.2
# of the variance of a run's days: the wood's own speed, which its drying outdoors shows too; the kiln's (our choice)
PICK_DAYS = 2.0
# to pick, trim and get an order ready (common practice, no source)


@dataclass(frozen=True, slots=True)
class Lot:
    """Wood of one origin that an order needs.

    `air`: days until it is at the MC it must have before the kiln or, without `charge`, when it is sold; None when
    it is there. `charge` is the key of the run it goes through. `after_days` from the kiln's door to ready: heating
    to sanitise, rest. Lots with the same `key` of a cohort dry as one.
    """

    key: str
    name: str
    air: Spread | None = None
    charge: str = ""
    after_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Charge:
    """A run of a kiln: going on (`starts_in_days` below 0), planned for a day, or next in line (0)."""

    key: str
    name: str
    days: Spread
    starts_in_days: float = 0.0
    lots: tuple[str, ...] = ()

    @property
    def running(self) -> bool:
        return self.starts_in_days < 0


@dataclass(frozen=True, slots=True)
class KilnLine:
    """A kiln's runs in the order in which they come, with the days to unload and load between them."""

    key: str
    name: str
    charges: tuple[Charge, ...] = ()
    change_over_days: float = 2.0


@dataclass(frozen=True, eq=False)
class LotDays:
    """Days from today of one lot, one a member: dry outdoors, into the kiln, out of it, ready."""

    air: Floats
    begins: Floats
    out: Floats
    ready: Floats


@dataclass(frozen=True, eq=False)
class Simulated:
    """All members: the last lot that is needed decides."""

    lots: Mapping[str, LotDays]
    ready: Floats

    def days_at(self, share: float) -> float:
        """Days that are enough in so large a share of cases; infinite where there is no such day."""
        ordered = np.sort(self.ready)
        return float(ordered[max(0, math.ceil(share * len(ordered)) - 1)])

    def share_by(self, days: float) -> float:
        """The share of cases in which all is ready after so many days."""
        return float((self.ready <= days).mean())

    def share_ever(self) -> float:
        """The share of cases in which it is ready at all."""
        return float(np.isfinite(self.ready).mean())

    def last(self) -> str:
        """The lot that is ready last most often; of as many, the first."""
        every = np.stack([lot.ready for lot in self.lots.values()])
        counts = (every >= every.max(axis=0)).sum(axis=1)
        return list(self.lots)[int(counts.argmax())]


def simulate(
    lots: Sequence[Lot],
    kilns: Iterable[KilnLine] = (),
    *,
    pick_days: float = PICK_DAYS,
    seed: int = 0,
    members: int = MEMBERS,
    still: frozenset[str] = frozenset(),
) -> Simulated:
    """Return when an order of these lots is ready, member by member, in days from today.

    Parameters: `pick_days` [days] to get the order ready once all wood is; `still` causes ("air", "queue", "run")
    whose chance is left out, to see how much of the spread is theirs. The same input gives the same answer.
    Errors: ValueError without a lot, or for a charge that no kiln has.
    Source: simulation of independent and shared chances (standard mathematics); shares are our choice.

    >>> found = simulate([Lot("a", "dry oak")])
    >>> found.days_at(0.5), found.days_at(0.9)
    (2.0, 2.0)
    """
    if not lots:
        raise ValueError("a promise needs wood")
    return _Simulation({lot.key: lot for lot in lots}, tuple(kilns), pick_days, seed, members, still).run()


@dataclass(frozen=True, eq=False)
class _Simulation:
    lots: Mapping[str, Lot]
    kilns: tuple[KilnLine, ...]
    pick_days: float
    seed: int
    members: int
    still: frozenset[str]

    def run(self) -> Simulated:
        air = {key: self._air(lot) for key, lot in self.lots.items()}
        begun, out = self._kiln_days(air)
        missing = {lot.charge for lot in self.lots.values() if lot.charge} - out.keys()
        if missing:
            raise ValueError(f"no kiln has the charge {', '.join(sorted(missing))}")
        found = {}
        for key, lot in self.lots.items():
            begins = begun.get(lot.charge, air[key]) if lot.charge else air[key]
            comes_out = out[lot.charge] if lot.charge else air[key]
            found[key] = LotDays(air[key], begins, comes_out, comes_out + lot.after_days + self.pick_days)
        return Simulated(found, np.max([one.ready for one in found.values()], axis=0))

    def _air(self, lot: Lot) -> Floats:
        if lot.air is None:
            return np.zeros(self.members)
        z = mixed((WEATHER_SHARE, self._chance("weather", "air")), (1 - WEATHER_SHARE, self._wood(lot.key)))
        return lot.air.at(z)

    def _kiln_days(self, air: Mapping[str, Floats]) -> tuple[dict[str, Floats], dict[str, Floats]]:
        begun: dict[str, Floats] = {}
        out: dict[str, Floats] = {}
        for kiln in self.kilns:
            free = np.zeros(self.members)
            for charge in kiln.charges:
                begun[charge.key], out[charge.key] = self._charge(kiln, charge, free, air)
                free = out[charge.key] + kiln.change_over_days
        return begun, out

    def _charge(self, kiln: KilnLine, charge: Charge, free: Floats, air: Mapping[str, Floats]) -> tuple[Floats, Floats]:
        z = self._run_chance(kiln, charge)
        if charge.running:
            begins = np.full(self.members, charge.starts_in_days)
            return begins, charge.starts_in_days + charge.days.at_least(z, -charge.starts_in_days)
        waits_for = [free, np.full(self.members, charge.starts_in_days)]
        waits_for += [air[key] for key in charge.lots if key in air]
        begins = np.max(waits_for, axis=0)
        return begins, begins + charge.days.at(z)

    def _run_chance(self, kiln: KilnLine, charge: Charge) -> Floats:
        ours = next((key for key in charge.lots if key in self.lots), None)
        cause = "run" if ours else "queue"
        kilns, own = self._chance(f"kiln {kiln.key}", cause), self._chance(f"run {charge.key}", cause)
        if ours is None:
            return mixed((KILN_SHARE, kilns), (1 - KILN_SHARE, own))
        wood = self._chance(f"wood {ours}", "run")
        return mixed((WOOD_SHARE, wood), (KILN_SHARE, kilns), (1 - WOOD_SHARE - KILN_SHARE, own))

    def _wood(self, key: str) -> Floats:
        return self._chance(f"wood {key}", "air")

    def _chance(self, cause: str, part: str) -> Floats:
        """The chance of a cause, or none where that part is held still."""
        return np.zeros(self.members) if part in self.still else chance(cause, self.members, self.seed)
