"""The kiln's measured air by the hour: means first, EMC after; gaps bridged or refused."""

import numpy as np
import pytest

from kilns.physics.kiln_air import hourly_air, steady_day, sunny_days
from kilns.physics.schedules import assemble
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange


def test_minutes_become_hours_with_the_emc_of_the_means():
    minutes = np.arange(0, 180)
    dry, humid = 100 + 10 * np.sin(minutes), 50 + 20 * np.cos(minutes)
    made = hourly_air(minutes, dry, humid)
    assert len(made.air) == 3
    assert made.air.days == pytest.approx(3 / 24)
    for hour in range(3):
        own = slice(60 * hour, 60 * hour + 60)
        assert made.dry_bulb_f[hour] == pytest.approx(dry[own].mean())
        assert made.air.emc_pct[hour] == pytest.approx(equilibrium_mc_pct(dry[own].mean(), humid[own].mean()))


def test_a_few_hours_without_readings_are_bridged_and_counted():
    made = hourly_air([0, 300], [100, 110], [50, 50])
    assert made.bridged_h == 4
    assert made.dry_bulb_f.tolist() == pytest.approx([100, 102, 104, 106, 108, 110])


def test_half_a_day_without_readings_is_too_long():
    with pytest.raises(OutsideRange, match="Split the run there"):
        hourly_air([0, 60 * 14], [100, 110], [50, 50])


@pytest.mark.parametrize(("minutes", "match"), [([0, 60, 30], "Sort them"), ([], "readings"), ([0, 1], "readings")])
def test_readings_out_of_order_or_number_are_refused(minutes, match):
    with pytest.raises(OutsideRange, match=match):
        hourly_air(minutes, [100.0] * 3 if minutes else [], [50.0] * 3 if minutes else [])


def test_a_sunny_day_has_24_hours_and_a_steady_one_its_step():
    step = assemble("T4-D2").step_at(28)
    assert steady_day(step, 0).emc_pct.tolist() == [step.emc_pct]
    sunny = sunny_days(50, 75, 25)(step, 3)
    assert len(sunny) == 24
    assert sunny.temp_f.max() <= step.dry_bulb_f
