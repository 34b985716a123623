"""Closing a run: dry tally, evenness, cost, what was learned, and slabs that are for sale."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from kilns.services.run_closing import Closing, run_close
from kilns.services.run_records import energy_record, final_reading_record, run_note_record
from kilns.services.run_slabs import slabs_of_charge
from tests.kilns.make import BEGAN, go_on, make_kiln, make_running
from tests.make import make_bay, make_slab, make_stack
from yard.models import Cohort, Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.moisture_records import oven_section_record
from yard.services.slab_leaves import slabs_leave
from yard.services.stacks import stack_build, stack_restack, stack_take_down
from yard.services.weighings import sample_add, weighing_record
from yard.services.yard_prior import prior_for

END = BEGAN + timedelta(days=30)
# A sample of 10 lb oven-dry, days from the run's beginning: often enough that the stack teaches, whatever is drawn.
WEIGHED = (
    (-190, 14.3), (-170, 13.9), (-150, 13.6), (-120, 13.2), (-100, 12.95), (-75, 12.65), (-50, 12.4), (-25, 12.2),
    (-2, 12.0), (28, 11.6),
)  # fmt: skip


@pytest.fixture
def store(yard):
    return make_bay("Dry room", "dry_store")


@pytest.fixture
def run(yard):
    slabs = [make_slab(f"A-{n}") for n in range(4)]
    kiln = make_kiln("Barn kiln", energy_price="0.20")
    return make_running(kiln=kiln, stacks=[make_stack("ST-1", slabs=slabs)], plan={"kwh": {"low": 1, "high": 9}})


def measured(run, *contents):
    for slab, content in zip(run.run_stacks.get().stack.slabs_now.order_by("tag"), contents, strict=False):
        final_reading_record(run=run, slab=slab, mc_pct=content, by=None, at=END - timedelta(hours=2))


def close(run, store, by=None, version=None, **fields):
    run.refresh_from_db()
    chosen = {"at": END, "store": store, "take_down": True} | fields
    return run_close(run=run, by=by, version=version or run.version, closing=Closing(**chosen))


def test_slabs_turn_up_dry_and_for_sale_with_their_net_footage(run, store):
    measured(run, 7.0, 8.0)
    closed = close(run, store)
    found = {slab.tag: slab for slab in Slab.objects.all()}
    assert {slab.state for slab in found.values()} == {"dry"}
    assert [found[f"A-{n}"].dry_mc_pct for n in range(4)] == [7.0, 8.0, 7.5, 7.5]  # the rest take the mean
    # red oak shrinks 4.0% radially and 8.6% tangentially from green; at 8% of 30% FSP that leaves about 0.91 of it
    assert 0.88 < found["A-1"].net_bf / found["A-1"].green_bf < 0.94
    assert closed.closing["net_bf"] == pytest.approx(sum(slab.net_bf for slab in found.values()), abs=0.1)
    assert {slab.bay for slab in found.values()} == {store}
    assert (closed.state, closed.closed_at, closed.final_mc_pct) == ("closed", END, 7.5)


def test_energy_cost_and_cost_of_a_board_foot_are_written_down(run, store):
    energy_record(run=run, meter_kwh=1000.0, by=None, at=BEGAN + timedelta(hours=1))
    measured(run, 8.0)
    closed = close(run, store, meter_kwh=1250.0)
    assert closed.closing["kwh"] == 250.0
    assert str(closed.energy_cost) == "50.00"  # 250 kWh at 0.20
    assert float(closed.closing["cost_per_bf"]) == pytest.approx(50 / closed.closing["net_bf"], abs=0.01)


def test_evenness_degrade_days_and_prongs_are_written_down(run, store):
    go_on(run, "drying", 1, BEGAN + timedelta(days=1))
    go_on(run, "cool", 1, BEGAN + timedelta(days=29))
    run_note_record(run=run, note="end checks in two", kind="degrade", by=None)
    run_note_record(run=run, note="", kind="prong", value=0.05, by=None)
    measured(run, 6.0, 8.0, 8.0, 10.0)
    gave = close(run, store).closing
    assert (gave["days"], gave["drying_days"], gave["spread_pct"], gave["even"]) == (30.0, 28.0, 4.0, False)
    assert gave["even_notes"] == ["Boards lie 4.0 points apart: more than a point from their mean"]
    assert (gave["degrade"], gave["prongs_in"]) == (["end checks in two"], [0.05])


def test_a_dry_tally_that_was_measured_is_kept(run, store):
    slab = Slab.objects.get(tag="A-0")
    slab.dry_widths_in, slab.net_bf = [16.0, 15.0, 16.0], 20.5
    slab.save()
    measured(run, 8.0)
    gave = close(run, store).closing
    slab.refresh_from_db()
    assert (slab.net_bf, gave["measured_slabs"]) == (20.5, 1)


def test_nothing_is_closed_without_a_final_reading_twice_or_behind_somebodys_back(run, store):
    with pytest.raises(ValidationError, match="Measure the final MC of at least one board"):
        close(run, store)
    measured(run, 8.0)
    with pytest.raises(ChangedMeanwhile):
        close(run, store, version=99)
    with pytest.raises(ValidationError, match="has not come yet"):
        close(run, store, at=timezone.now() + timedelta(days=1))
    assert {slab.dry_mc_pct for slab in Slab.objects.all()} == {None}
    close(run, store)
    with pytest.raises(ValidationError, match="only a running run is closed"):
        close(run, store)


def test_a_meter_that_ran_backwards_closes_nothing(run, store):
    energy_record(run=run, meter_kwh=1000.0, by=None)
    measured(run, 8.0)
    with pytest.raises(ValidationError, match="It showed 1000 kWh before"):
        close(run, store, meter_kwh=900.0)
    run.refresh_from_db()
    assert (run.state, Slab.objects.filter(dry_on__isnull=False).count()) == ("running", 0)


def test_stacks_left_standing_in_a_dry_store_are_for_sale_too(run, store):
    measured(run, 8.0)
    closed = close(run, store, take_down=False)
    assert {slab.state for slab in Slab.objects.all()} == {"dry"}
    assert closed.closing["learned"] == ["The yard's belief in such wood moves when the stacks are taken down."]


def test_a_stack_that_was_unloaded_before_the_run_is_closed_is_dry_where_it_lies(run, store):
    stack = run.run_stacks.get().stack
    slabs = list(slabs_of_charge(run))
    gone, restacked = slabs[0], slabs[1]
    stack_take_down(stack=stack, at=END - timedelta(hours=5), by=None)
    slabs_leave(slabs=[gone], by=None)
    stack_build(tag="WET", slabs=[restacked], bay=make_bay("Row"), at=END - timedelta(hours=4), by=None)
    assert [slab.tag for slab in slabs_of_charge(run)] == ["A-2", "A-3"]
    final_reading_record(run=run, slab=slabs[2], mc_pct=8.0, by=None, at=END - timedelta(hours=2))
    closed = close(run, store)
    assert (closed.state, closed.closing["slabs"]) == ("closed", 2)
    assert dict(Slab.objects.values_list("tag", "dry_mc_pct")) == {"A-0": None, "A-1": None, "A-2": 8.0, "A-3": 8.0}


def test_a_stack_built_anew_in_the_kiln_during_the_run_is_closed_with_it(run, store):
    stack, kiln_bay = run.run_stacks.get().stack, run.kiln.bay
    slabs = list(stack.slabs_now.all())
    stack_restack(tag="ST-1b", slabs=slabs, bay=kiln_bay, at=END - timedelta(days=3), by=None)
    final_reading_record(run=run, slab=slabs[0], mc_pct=8.0, by=None, at=END - timedelta(hours=2))
    close(run, store)
    assert {(slab.state, slab.bay) for slab in Slab.objects.all()} == {("dry", store)}


def test_a_finished_run_moves_the_yards_belief_in_such_wood(run, store):
    cohort = Cohort.objects.get()
    following = Cohort(pk=0, species_key=cohort.species_key, thickness_in=cohort.thickness_in)
    before = prior_for(following)
    sample = sample_add(cohort=cohort, name="A")
    oven_section_record(
        cohort=cohort, sample=sample, sample_weight_lb=14.5, wet_lb=1.45, oven_dry_lb=1.0, by=None,
        cut_at=BEGAN - timedelta(days=200), typed_value="14.5", typed_unit="lb",
    )  # fmt: skip
    for days, weight_lb in WEIGHED:
        weighing_record(sample=sample, weight_lb=weight_lb, by=None, made_at=BEGAN + timedelta(days=days))
    measured(run, 14.0)
    closed = close(run, store)
    after = prior_for(following)
    assert after.basis == "1 finished stack of this yard"
    assert after.ln_d.sd < before.ln_d.sd
    assert "The next northern red oak of 2.125 in" in closed.closing["learned"][0]
