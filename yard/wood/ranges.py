"""The one error that science raises when asked beyond what its source covers."""

import math


class OutsideRange(ValueError):  # noqa: N818 - reads as the sentence it is: "raise OutsideRange"
    """A quantity lies outside the range that the source of a formula or table covers.

    Parameters: `what` the quantity in words, `value` as asked, `low` and `high` the covered
    range (None where it is open), `unit` as shown to a person.

    >>> str(OutsideRange("temperature", 300.0, 30.0, 270.0, "°F"))
    'temperature 300 °F is outside 30 to 270 °F'
    """

    def __init__(
        self, what: str, value: float, low: float | None, high: float | None, unit: str = "", hint: str = ""
    ) -> None:
        self.what, self.value, self.low, self.high, self.unit, self.hint = what, value, low, high, unit, hint
        gap = " " if unit and unit != "%" else ""
        shown = _shown(value)
        if low is None:
            bounds = f"above {high:g}{gap}{unit}" if high is not None else "outside the covered range"
        elif high is None:
            bounds = f"below {low:g}{gap}{unit}"
        else:
            bounds = f"outside {low:g} to {high:g}{gap}{unit}"
        text = f"{what} {shown}{gap}{unit} is {bounds}"
        super().__init__(f"{text}. {hint}" if hint else text)


def _shown(value: object) -> str:
    """The value as a person writes it; whatever is no number at all as the program sees it, cut short."""
    try:
        return f"{value:g}"
    except (TypeError, ValueError, OverflowError):
        return repr(value)[:40]


def require_range(
    what: str, value: float, low: float | None, high: float | None, unit: str = "", hint: str = ""
) -> float:
    """Return `value` when it is a finite number within [low, high]; otherwise raise OutsideRange.

    >>> require_range("relative humidity", 50.0, 0.0, 100.0, "%")
    50.0
    >>> require_range("relative humidity", None, 0.0, 100.0, "%")
    Traceback (most recent call last):
        ...
    yard.wood.ranges.OutsideRange: relative humidity None% is outside 0 to 100%
    """
    try:
        inside = math.isfinite(value) and (low is None or value >= low) and (high is None or value <= high)
    except (TypeError, OverflowError):  # text, None, a list, a whole number past every float
        inside = False
    if not inside:
        raise OutsideRange(what, value, low, high, unit, hint)
    return value
