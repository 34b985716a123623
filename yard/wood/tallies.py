"""Gross and net footage: what was measured green, what is there dry, and on which of them wood is sold."""

from dataclasses import dataclass

from yard.wood.ranges import require_range


@dataclass(frozen=True, slots=True)
class Tally:
    """The footage of some wood: `gross_bf` measured green, `net_bf` measured dry (None until it has been)."""

    gross_bf: float
    net_bf: float | None = None

    def for_sale(self, dry: bool) -> "SaleFootage":
        """Return the footage that the wood is priced on, with the words that belong on the invoice.

        Dry wood is priced on its net tally. Where it was never measured again, the gross tally stands only
        with the words that it was measured before drying.
        Source: NCWM-1977; NHLA-NEWS-768.

        >>> Tally(1000.0, 920.0).for_sale(dry=True)
        SaleFootage(footage_bf=920.0, basis='net', words='measured after drying', source_key='NCWM-1977')
        >>> Tally(1000.0).for_sale(dry=True).words
        'measured prior to kiln drying'
        """
        if not dry:
            return SaleFootage(self.gross_bf, "gross", "measured green", "NHLA-RULES")
        if self.net_bf is None:
            return SaleFootage(self.gross_bf, "gross", "measured prior to kiln drying", "NHLA-NEWS-768")
        return SaleFootage(self.net_bf, "net", "measured after drying", "NCWM-1977")


@dataclass(frozen=True, slots=True)
class SaleFootage:
    """Footage to price: the figure, gross or net, the words for the invoice, and the source of the rule."""

    footage_bf: float
    basis: str
    words: str
    source_key: str


def net_from_gross_bf(gross_bf: float, loss_pct: float) -> float:
    """Return the net footage expected after drying: gross less its loss in percent of the gross.

    Parameters: gross_bf [bf], 0 up; loss_pct [%], 0 to 20 (3 to 8 is usual, by species).
    Returns: footage [bf]. Errors: OutsideRange.
    Source: WENGERT-QA, footage loss in drying. Check: 1,000 bf green at 8% is 920 bf.

    >>> net_from_gross_bf(1000.0, 8.0)
    920.0
    """
    require_range("gross footage", gross_bf, 0.0, 1e9, "bf")
    require_range("loss of footage", loss_pct, 0.0, 20.0, "%")
    return gross_bf * (1.0 - loss_pct / 100.0)


def gross_from_net_bf(net_bf: float, loss_pct: float) -> float:
    """Return the green footage to saw for a net footage dry; the reverse of `net_from_gross_bf`.

    Parameters: net_bf [bf], 0 up; loss_pct [%] of the gross, 0 to 20. Returns: footage [bf].
    Errors: OutsideRange. Source: WENGERT-QA. Net x 1.07 is also reckoned in the trade; not here.

    >>> round(gross_from_net_bf(920.0, 8.0), 6)
    1000.0
    """
    require_range("net footage", net_bf, 0.0, 1e9, "bf")
    require_range("loss of footage", loss_pct, 0.0, 20.0, "%")
    return net_bf / (1.0 - loss_pct / 100.0)


def over_pct(footage_bf: float, reference_bf: float) -> float:
    """Return how far a footage stands above another, in percent: overrun of a log, or overcharge.

    Parameters: footage_bf [bf], 0 up; reference_bf [bf], above 0 (log scale, or footage delivered).
    Returns: [%], negative where it falls short. Errors: OutsideRange.
    Source: WENGERT-QA. Check: 502 bf billed for 480 delivered is about 5% over.

    >>> round(over_pct(502.0, 480.0), 2)
    4.58
    """
    require_range("footage", footage_bf, 0.0, 1e9, "bf")
    require_range("footage compared with", reference_bf, 0.001, 1e9, "bf")
    return (footage_bf / reference_bf - 1.0) * 100.0
