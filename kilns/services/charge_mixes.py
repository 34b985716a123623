"""Two or three stacks that make a charge together: alike in pace, thickness and moisture, and fitting as one."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from kilns.models import Kiln
from kilns.services.charge_size import IN_PER_FT
from kilns.services.charge_stacks import Candidate
from kilns.services.stack_fits import STICKER_IN
from yard.wood.ranges import OutsideRange
from yard.wood.safe_rate import safe_rate_pct_per_day

MC_APART_PCT = 5.0
# % MC between the woods of a charge: the drier ones wait for the wettest (common practice, no source for the figure)
THICK_APART_IN = 0.26
# in: a quarter (common practice, no source)
RATES_APART = 1.3
# times: the safe rate of the faster over that of the slower wood (our own limit)
MOST_LOOKED_AT, MOST_SHOWN = 12, 6
# stacks that mixes are sought among, and mixes shown (our own limits)


@dataclass(frozen=True)
class Mix:
    """Stacks that go in together."""

    parts: tuple[Candidate, ...]
    height_ft: float
    filled: float

    @property
    def footage_bf(self) -> float:
        return sum(one.footage_bf for one in self.parts)

    @property
    def spread_pct(self) -> float:
        """Wettest less driest wood [% MC]."""
        contents = [wood.mc_pct for one in self.parts for wood in one.woods]
        return max(contents) - min(contents)

    @property
    def ids(self) -> str:
        """The stacks' ids as the page's address has them."""
        return ",".join(str(one.stack_id) for one in self.parts)


def charge_mixes(kiln: Kiln, good: Sequence[Candidate]) -> list[Mix]:
    """The mixes of two or three good stacks, the fullest first."""
    some = list(good)[:MOST_LOOKED_AT]
    found = [
        mix
        for size in (2, 3)
        for parts in combinations(some, size)
        if (mix := _mix(kiln, parts)).height_ft <= kiln.stack_height_ft + 0.05 and not why_unlike(parts)
    ]
    found.sort(key=lambda mix: (-round(mix.filled, 2), mix.spread_pct, mix.ids))
    return found[:MOST_SHOWN]


def why_unlike(parts: Sequence[Candidate]) -> list[str]:
    """Why stacks do not belong into one charge, in numbers; empty when they do."""
    woods = [wood for one in parts for wood in one.woods]
    told = []
    contents, thick = [one.mc_pct for one in woods], [one.thickness_in for one in woods]
    if max(contents) - min(contents) > MC_APART_PCT:
        told.append(
            f"Their moisture lies {max(contents) - min(contents):.0f} points apart, {min(contents):.0f}% to "
            f"{max(contents):.0f}%: more than {MC_APART_PCT:g}, and the driest would wait long."
        )
    if max(thick) - min(thick) > THICK_APART_IN:
        told.append(f"Their thickness lies {max(thick) - min(thick):.2f} in apart: more than a quarter.")
    try:
        rates = [safe_rate_pct_per_day(one.species_key, one.thickness_in) for one in woods]
    except OutsideRange:
        told.append("Of one of them no safe rate is known.")
    else:
        if max(rates) > RATES_APART * min(rates):
            told.append(f"One may lose {max(rates):.1f}% a day and another {min(rates):.1f}%: the slow one decides.")
    return told


def _mix(kiln: Kiln, parts: Sequence[Candidate]) -> Mix:
    height = sum(one.laid.height_ft for one in parts) + (len(parts) - 1) * STICKER_IN / IN_PER_FT
    return Mix(tuple(parts), height, height / kiln.stack_height_ft)
