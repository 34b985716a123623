"""What is going wrong: each kind found, with its number, and nothing said of sound wood."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from tests.make import make_bay, make_estimate, make_log, make_sensor, make_slab, make_stack, make_yard
from yard.models import Cohort, SensorDay, Yard
from yard.services.air_now import AirNow, WeekOfAir, air_now
from yard.services.green_wood import green_wood, green_wood_risks
from yard.services.ready_list import Wanted
from yard.services.risks import frozen_risks, risks_found, risks_of, risky_wood

MILD = AirNow(WeekOfAir(60.0, 13.0), {})
TODAY = date(2025, 7, 15)


def wood(mean_pct=35.0, in_days=60, **fields):
    """A cohort with a sound estimate but for what the test changes."""
    cohort = make_stack().cohorts.get()
    ready_on = None if in_days is None else timezone.localdate() + timedelta(days=in_days)
    chosen = {"rate_pct_day": 0.3, "safe_rate_pct_day": 1.5} | fields
    make_estimate(cohort, mean_pct=mean_pct, ready_on=ready_on, **chosen)
    return cohort


def found(air=MILD):
    woods = risks_of(risky_wood(air, Wanted()).values_list("pk", flat=True), air)
    return [risk for _wood, risks in woods for risk in risks]


@pytest.fixture(autouse=True)
def _yard(yard):
    """Every test has a yard."""


def test_sound_wood_is_not_at_risk():
    wood()
    assert found() == []


def test_wood_that_dries_faster_than_its_safe_rate_comes_first_with_both_figures():
    wood(rate_pct_day=0.01)
    wood(rate_pct_day=2.4)
    risk = found()[0]
    assert (risk.kind, risk.level, risk.number) == ("too-fast", "danger", "2.4% a day")
    assert "at most 1.5% a day" in risk.words


def test_fast_drying_of_wood_that_is_nearly_dry_does_no_harm():
    # WENGERT-COLUMN (read): under 15% wood dries slower than its limit by itself; the limit counts while it is wet.
    wood(mean_pct=14.0, rate_pct_day=2.4)
    assert found() == []


def test_wood_without_a_published_safe_rate_is_not_accused():
    wood(rate_pct_day=2.4, safe_rate_pct_day=None)
    assert found() == []


def test_figures_that_disagree_are_told_in_their_own_words():
    wood(conflicts=[{"words": "The weighing of A on 3 May is 9% heavier than all else says.", "off_by_sd": -4.2}])
    risk = found()[0]
    assert (risk.kind, risk.number) == ("conflict", "4 times its usual error")
    assert "9% heavier" in risk.words


def test_wood_that_takes_up_water_says_how_much():
    wood(rate_pct_day=-0.12)
    risk = found()[0]
    assert (risk.kind, risk.number) == ("re-wets", "+0.12% a day")


def test_wood_that_stands_still_says_what_its_air_would_bring():
    cohort = wood(rate_pct_day=0.0)
    risk = found()[0]
    assert (risk.kind, risk.number) == ("stalled", "0.00% a day")
    assert "over its target of 20%" in risk.words
    assert "brings wood to 13%" in risk.why
    assert f"/stacks/{cohort.stack_id}/?wood={cohort.pk}" in risk.href


def test_wood_that_stands_still_at_its_target_is_done_not_stalled():
    wood(mean_pct=20.5, rate_pct_day=0.0)
    assert found() == []


def test_frozen_wood_is_not_called_stalled_but_told_once_a_bay():
    bay = make_bay("North row")
    for _ in range(2):
        cohort = make_stack(bay=bay).cohorts.get()
        make_estimate(
            cohort, mean_pct=45.0, rate_pct_day=0.0, ready_on=timezone.localdate() + timedelta(days=90)
        )  # fmt: skip
    air = AirNow(WeekOfAir(12.0, 15.0), {bay.pk: WeekOfAir(12.0, 15.0)})
    assert found(air) == []
    risk = frozen_risks(air)[0]
    assert (risk.kind, risk.about, risk.number) == ("frozen", "North row", "12 °F")
    assert risk.words == "2 lots of wood over 30% MC are frozen."
    assert frozen_risks(MILD) == []


def test_a_target_that_the_air_never_reaches_says_so():
    cohort = wood(in_days=None)
    cohort.estimate.targets.update(reason="Not reached by 1 Jan 2028: the air to come brings wood to about 14%.")
    risk = found()[0]
    assert risk.kind == "out-of-sight"
    assert "brings wood to about 14%" in risk.words


def test_estimates_that_missed_something_or_grew_old_or_were_never_made_are_told():
    stale, old, never = wood(), wood(as_of=timezone.localdate() - timedelta(days=5)), make_stack().cohorts.get()
    Cohort.objects.filter(pk=stale.pk).update(stale_since=timezone.now() - timedelta(hours=5))
    Cohort.objects.filter(pk=never.pk).update(stale_since=None)
    assert {risk.number: risk.kind for risk in found()} == {
        "5 hours": "out-of-date", "5 days": "out-of-date", "none": "no-estimate",
    }  # fmt: skip
    assert old.pk


def test_a_weighing_of_this_minute_does_not_raise_an_alarm():
    cohort = wood()
    Cohort.objects.filter(pk=cohort.pk).update(stale_since=timezone.now())
    assert found() == []


def test_wood_that_was_taken_down_is_nobodys_risk():
    cohort = wood(rate_pct_day=2.4)
    Cohort.objects.filter(pk=cohort.pk).update(left_at=timezone.now())
    assert found() == []


def test_green_wood_without_stickers_is_counted_by_its_warm_days():
    log = make_log("L-7", species_key="pine-eastern-white")
    for _ in range(3):
        make_slab(log=log, sawn_on=TODAY - timedelta(days=9))
    one = green_wood(yard=Yard.objects.get(), today=TODAY, most=9)[0]
    found_here = (one.tag, one.pieces, one.warm_days)
    assert found_here == ("L-7", 3, 10), "July at Madison is all over 50 °F, both ends counted"
    risk = green_wood_risks(yard=Yard.objects.get(), today=TODAY, most=9)[0]
    assert (risk.kind, risk.level, risk.number) == ("green", "danger", "10 warm days")
    assert risk.href == f"/stacks/build/?log={log.pk}"


def test_green_wood_in_the_cold_just_sawn_or_stacked_is_left_alone():
    make_slab(sawn_on=date(2025, 1, 5))
    make_slab(sawn_on=TODAY - timedelta(days=1))
    make_stack()
    yard = Yard.objects.get()
    assert green_wood(yard=yard, today=date(2025, 1, 20), most=9) == []
    late = green_wood(yard=yard, today=TODAY, most=9)
    assert [(one.sawn_on, one.pieces) for one in late] == [(date(2025, 1, 5), 1)], "January's is late by July"


def test_dry_wood_that_lies_loose_again_is_no_green_wood():
    from yard.services.stacks import stack_take_down

    stack = make_stack()
    stack_take_down(stack=stack, at=timezone.now(), by=None)
    assert green_wood(yard=Yard.objects.get(), today=TODAY, most=9) == []


def test_the_worst_of_everything_comes_together():
    log = make_log("L-7")
    make_slab(log=log, sawn_on=TODAY - timedelta(days=9))
    wood(rate_pct_day=-0.12)
    wood(rate_pct_day=2.4)
    levels = [one.level for one in risks_found(yard=Yard.objects.get(), air=MILD, today=TODAY, most=9)]
    assert levels == ["danger", "danger", "caution"]


def test_the_air_of_the_week_follows_each_bays_own_air():
    sensor = make_sensor("In the kiln")
    today = timezone.localdate()
    for n in range(1, 8):
        SensorDay.objects.create(
            sensor=sensor, day=today - timedelta(days=n), temp_f=120, rh_pct=30, readings=24, hours=24
        )  # fmt: skip
    open_air, shed = make_bay("Row"), make_bay("Shed", air="offset", offset_temp_f=5, offset_rh_pct=-5)
    store = make_bay("Store", air="steady", steady_temp_f=70, steady_rh_pct=35)
    kiln = make_bay("Kiln", "kiln", air="sensor", sensor=sensor)
    air = air_now(yard=Yard.objects.get(), today=today)
    assert air.of(open_air.pk) == air.outdoors
    assert air.of(shed.pk).temp_f == pytest.approx(air.outdoors.temp_f + 5)
    # Wood Handbook Table 4-2 (memory high): 6.9% at 70 °F and 35%; 5.4% at 120 °F and 30%.
    assert air.of(store.pk).emc_pct == pytest.approx(6.9, abs=0.07)
    assert air.of(kiln.pk).emc_pct == pytest.approx(5.4, abs=0.07)


def test_a_yard_without_a_place_has_no_air_and_still_tells_its_risks():
    make_yard(lat_deg=None, lon_deg=None)
    air = air_now(yard=Yard.objects.get(), today=timezone.localdate())
    assert air == AirNow(None, {})
    wood(rate_pct_day=0.0)
    assert "no place" in found(air)[0].why
