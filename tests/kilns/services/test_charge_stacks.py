"""Which stacks make a charge for a kiln, and why the others do not: each reason with its number."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from kilns.services import charge_wishes
from kilns.services.charge_mixes import charge_mixes, why_unlike
from kilns.services.charge_stacks import charge_stacks
from kilns.services.charge_wishes import Wish
from tests.kilns.make import make_kiln, make_run
from tests.make import make_estimate, make_slab, make_stack


@pytest.fixture
def kiln(yard):
    return make_kiln("Barn kiln")


def ready_stack(tag, mean_pct=18.0, reached_now=0.95, ready_on=None, slabs=4, **fields):
    stack = make_stack(tag, slabs=slabs, **fields)
    for cohort in stack.cohorts.all():
        make_estimate(cohort, mean_pct, reached_now=reached_now, ready_on=ready_on)
    return stack


def looked(kiln, yard):
    found = charge_stacks(kiln, yard=yard, today=timezone.localdate())
    return {one.tag: one for one in [*found.good, *found.rest]}, found


def reasons(kiln, yard, tag):
    return " ".join(looked(kiln, yard)[0][tag].why_not)


def test_a_ready_stack_that_fits_makes_a_charge_and_says_how_to_lay_it(kiln, yard):
    ready_stack("ST-1")
    found, all_of_it = looked(kiln, yard)
    one = found["ST-1"]
    assert [row.tag for row in all_of_it.good] == ["ST-1"]
    assert (one.why_not, one.ready) == ((), True)
    assert one.mc_pct == pytest.approx(18.0)
    assert one.footage_bf == pytest.approx(sum(slab.green_bf for slab in make_stack("X").slabs_now.all()))
    # four slabs of 16.9 in mean width lie two abreast in 3 ft: 2 x 2.125 + 0.75 = 5 in
    assert (one.laid.courses, one.laid.height_ft) == (2, pytest.approx(5 / 12))
    assert "build it anew for the kiln, 3' wide" in " ".join(one.notes)  # it stands 4 ft wide


def test_wood_that_is_too_wet_says_when_it_will_be_ready(kiln, yard):
    far = timezone.localdate() + timedelta(days=100)
    ready_stack("ST-2", 34.0, reached_now=0.01, ready_on=far)
    words = reasons(kiln, yard, "ST-2")
    assert "Too wet" in words
    assert "has 34%" in words
    assert "20% is expected about" in words


def test_wood_that_is_nearly_ready_is_a_candidate_with_its_odds(kiln, yard):
    ready_stack("ST-2", 21.0, reached_now=0.3, ready_on=timezone.localdate() + timedelta(days=12))
    one = looked(kiln, yard)[0]["ST-2"]
    assert (one.why_not, one.ready) == ((), False)
    assert "30%" in " ".join(one.notes)


def test_dry_wood_and_wood_without_an_estimate_say_so(kiln, yard):
    ready_stack("ST-3", 7.9)
    make_stack("ST-4")
    assert "is dry: 7.9% now" in reasons(kiln, yard, "ST-3")
    assert "No estimate" in reasons(kiln, yard, "ST-4")


def test_wood_too_long_too_wide_or_too_much_says_by_how_much(kiln, yard):
    ready_stack("LONG", slabs=[make_slab(length_in=12 * 12.5)])
    ready_stack("WIDE", slabs=[make_slab(widths_in=[40.0, 40.0, 40.0])])
    ready_stack("HIGH", slabs=[make_slab(widths_in=[30.0, 30.0, 30.0]) for _ in range(20)])
    assert "12' 6\", and the kiln takes 10'" in reasons(kiln, yard, "LONG")
    assert "40 in, and the kiln takes 36 in" in reasons(kiln, yard, "WIDE")
    assert "20 courses come to 4' 8 3/4\", and the kiln takes 4': split it" in reasons(kiln, yard, "HIGH")


def test_a_stack_of_another_run_names_that_run(kiln, yard):
    run = make_run(kiln=kiln, stacks=[ready_stack("ST-5")], name="March oak")
    assert f"It is in {run.name}, planned in Barn kiln." in reasons(kiln, yard, "ST-5")


def test_a_small_dehumidifier_is_held_against_the_days_water(kiln, yard):
    ready_stack("ST-1", slabs=12)
    one = looked(kiln, yard)[0]["ST-1"]
    # 12 slabs: footage x 62.4 x 0.56 / 12 lb dry; the safe rate of 8/4 red oak is under 2% a day
    dry_lb = one.footage_bf * 62.4 / 12 * 0.56
    assert one.water.water_lb_per_day == pytest.approx(dry_lb * one.water.loss_pct_per_day / 100, rel=0.01)
    assert one.water.loss_pct_per_day < 2.0
    assert one.water.enough is (one.water.water_lb_per_day <= one.water.capacity_lb_per_day)


def test_stacks_alike_and_fitting_together_make_a_mix(kiln, yard):
    ready_stack("ST-1", 18.0)
    ready_stack("ST-2", 20.0)
    ready_stack("ST-3", 27.0)  # nine points wetter than the driest
    (mix,) = charge_mixes(kiln, looked(kiln, yard)[1].good)
    assert sorted(one.tag for one in mix.parts) == ["ST-1", "ST-2"]
    assert mix.height_ft == pytest.approx((5 + 0.75 + 5) / 12)
    assert mix.spread_pct == pytest.approx(2.0)


def test_unlike_stacks_say_how_far_they_lie_apart(kiln, yard):
    ready_stack("ST-1", 12.0)
    ready_stack("THIN", 25.0, slabs=[make_slab(thickness_in=1.125, quarters=4)])
    found = looked(kiln, yard)[0]
    words = " ".join(why_unlike([found["ST-1"], found["THIN"]]))
    assert "13 points apart, 12% to 25%" in words
    assert "1.00 in apart" in words
    assert "a day" in words  # 4/4 red oak may lose far more than 8/4


def test_a_promised_stack_comes_first(kiln, yard, monkeypatch):
    ready_stack("ST-1", slabs=8)
    wanted = ready_stack("ST-2", slabs=2)
    monkeypatch.setattr(charge_wishes, "_ASKED", [])
    charge_wishes.register(lambda ids: {wanted.pk: [Wish("a table for Tove", date(2026, 12, 24))]})
    good = looked(kiln, yard)[1].good
    assert [one.tag for one in good] == ["ST-2", "ST-1"]
    assert good[0].wishes[0].words == "a table for Tove"


def test_a_large_yard_takes_no_more_queries_than_a_small_one(kiln, yard, django_assert_max_num_queries):
    for n in range(6):
        ready_stack(f"ST-{n}")
    with django_assert_max_num_queries(10):
        charge_stacks(kiln, yard=yard, today=timezone.localdate())
