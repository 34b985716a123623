"""What is measured on drying wood: the spread that each measurement is believed to, and what cannot be."""

from datetime import date, timedelta

import pytest

from yard.wood.observations import (
    CondensateCaught,
    OvenSection,
    PinReading,
    StackWeighing,
    WeighingRatio,
    weighing_ratio,
)
from yard.wood.ranges import OutsideRange

START = date(2025, 4, 1)


def on(day):
    return START + timedelta(days=day)


def test_each_measurement_is_believed_to_the_spread_of_the_science():
    """Sample 0.8% of its weight, section 2%, pins 2%; a whole stack's weight less than a sample's: our 2%."""
    assert WeighingRatio(on(1), START, 1.0).spread == 0.008
    assert StackWeighing(on(1), START, 1.0).spread == 0.02
    assert OvenSection(START, 50.0).spread == PinReading(START, 0.2, 15.0).spread == 2.0
    assert CondensateCaught(START, on(9), 200.0, 1000.0).spread == pytest.approx(1.0)


@pytest.mark.parametrize(
    "make",
    [
        lambda: WeighingRatio(on(1), START, 0.01), lambda: OvenSection(on(1), float("nan")),
        lambda: PinReading(on(1), -1.0, 12.0),
        lambda: weighing_ratio(first_on=START, first_lb=0.0, on=on(1), weight_lb=1.0),
        lambda: CondensateCaught(START, on(1), -1.0, 100.0),
    ],
)  # fmt: skip
def test_an_impossible_measurement_is_refused(make):
    with pytest.raises(OutsideRange):
        make()
