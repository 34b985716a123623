"""Electric load on a circuit, as a caution: the local code and a licensed electrician have the say."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from kilns.physics.tables import table
from yard.wood.ranges import require_range

CONTINUOUS_SHARE = 0.8
# of a breaker's rating that continuous load may take, unless it is listed for 100% (NEC-210, read)


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution with where it comes from."""

    key: str
    text: str
    source_key: str
    provenance: str


@dataclass(frozen=True, slots=True)
class CircuitLoad:
    """Continuous load on a circuit against what its breaker allows; always shown with its caution."""

    load_a: float
    allowed_a: float
    breaker_a: float
    volts: float
    caution: str

    @property
    def share(self) -> float:
        """The load as a share of the breaker's rating."""
        return self.load_a / self.breaker_a

    @property
    def over(self) -> bool:
        """Whether it is over the continuous limit."""
        return self.load_a > self.allowed_a * (1 + 1e-9)

    @property
    def allowed_w(self) -> float:
        """The most continuous load [W]."""
        return self.allowed_a * self.volts


@cache
def cautions() -> tuple[Caution, ...]:
    """The cautions, the one that defers to code and electrician first. Source: data/electrical_cautions.csv.

    >>> cautions()[0].key
    'defer'
    """
    return tuple(
        Caution(row["key"], row["caution"], row["source_key"], row["provenance"])
        for row in table("electrical_cautions.csv")
    )


def continuous_limit_a(breaker_a: float) -> float:
    """Return the continuous load that a breaker may carry [A].

    Parameters: `breaker_a` rating [A], 1 to 400. Raises OutsideRange.
    Source: NEC-210 (80%, read). Check: 20 A carries 16 A.

    >>> continuous_limit_a(20)
    16.0
    """
    return CONTINUOUS_SHARE * require_range("breaker", breaker_a, 1.0, 400.0, "A")


def continuous_limit_w(breaker_a: float, volts: float) -> float:
    """Return the continuous load that a circuit may carry [W], at unity power factor.

    Parameters: `breaker_a` [A], 1 to 400; `volts` [V], 100 to 480, one phase. Raises OutsideRange.
    Source: NEC-210. Check: 15 A at 120 V is 1,440 W; 30 A at 240 V is 5,760 W.

    >>> continuous_limit_w(15, 120), continuous_limit_w(30, 240)
    (1440.0, 5760.0)
    """
    return continuous_limit_a(breaker_a) * require_range("voltage", volts, 100.0, 480.0, "V")


def circuit_load(breaker_a: float, volts: float, loads_w: Sequence[float]) -> CircuitLoad:
    """Return what runs on a circuit against its breaker; kiln heat and fans count as continuous.

    Parameters: `breaker_a` [A]; `volts` [V]; `loads_w` of everything on it [W], each 0 to 100,000. Raises
    OutsideRange. Source: NEC-210 and NEC-424 (read). Check: 1,500 W at 120 V on 15 A is over 80%, on 20 A not.

    >>> circuit_load(15, 120, [1500]).over, circuit_load(20, 120, [1500]).over
    (True, False)
    """
    allowed = continuous_limit_a(breaker_a)
    require_range("voltage", volts, 100.0, 480.0, "V")
    whole = sum(require_range("load", one, 0.0, 100_000.0, "W") for one in loads_w)
    return CircuitLoad(whole / volts, allowed, breaker_a, volts, cautions()[0].text)
