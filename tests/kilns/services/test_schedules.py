"""Schedules are kept with their steps; one taken over from a code says where it comes from."""

import pytest
from django.core.exceptions import ValidationError

from kilns.models import Run, Schedule
from kilns.physics.schedules import assemble, humid_step, table_step
from kilns.services.schedule_steps import capped_rows, step_rows
from kilns.services.schedules import physics_of, schedule_add, schedule_change, schedule_hide, schedule_take_over
from tests.kilns.make import make_kiln
from yard.models import History
from yard.services.changed_meanwhile import ChangedMeanwhile

STEPS = [table_step(400.0, 100.0, 5.0), table_step(30.0, 110.0, 15.0)]


def test_a_schedule_taken_over_keeps_code_steps_and_provenance(owner, yard):
    kept = schedule_take_over(by=owner, code="t4 d2", name="Red oak", species_key="oak-northern-red", thickness_in=1.0)
    assert (kept.code, kept.species_key) == ("T4-D2", "oak-northern-red")
    assert "from memory, check against the publication" in kept.provenance
    assert physics_of(kept).steps == assemble("T4-D2").steps
    with pytest.raises(ValidationError, match="no schedule T4-Z2"):
        schedule_take_over(by=owner, code="T4-Z2", name="Nothing")


def test_steps_of_an_own_schedule_are_put_in_order_from_green(owner, yard):
    kept = schedule_add(by=owner, name="Slow", note="ours", steps=[humid_step(25, 110, 50), humid_step(60, 95, 80)])
    steps = physics_of(kept).steps
    assert [step.mc_from_pct for step in steps] == [400.0, 25.0]
    assert steps[0].dry_bulb_f == 95.0
    with pytest.raises(ValidationError, match="no steps"):
        schedule_add(by=owner, name="Empty", steps=[])
    with pytest.raises(ValidationError, match="same moisture content"):
        schedule_add(by=owner, name="Twice", steps=[STEPS[1], STEPS[1]])
    with pytest.raises(ValidationError, match="Another schedule is called Slow"):
        schedule_add(by=owner, name="SLOW", steps=STEPS)
    assert Schedule.objects.count() == 1


def test_changed_steps_of_a_code_are_said_to_be_changed(owner, yard):
    kept = schedule_take_over(by=owner, code="T4-D2", name="Red oak")
    same = schedule_change(schedule=kept, by=owner, version=1, steps=physics_of(kept).steps, note="kept")
    assert (same.version, "changed by the yard" in same.provenance) == (2, False)
    own = schedule_change(schedule=kept, by=owner, version=2, steps=STEPS)
    assert "changed by the yard" in own.provenance
    assert own.steps.count() == 2
    with pytest.raises(ChangedMeanwhile):
        schedule_change(schedule=kept, by=owner, version=2, steps=STEPS)
    changes = History.objects.filter(table="schedule").order_by("-id")[0].changes
    assert changes["steps"][1] == ["green: 100.0/95.0 °F", "30%: 110.0/95.0 °F"]


def test_steps_of_a_schedule_that_a_run_goes_by_stay(owner, yard):
    kept = schedule_add(by=owner, name="Slow", steps=STEPS)
    Run.objects.create(kiln=make_kiln(), name="R", schedule=kept, state="running")
    with pytest.raises(ValidationError, match="A run is going on"):
        schedule_change(schedule=kept, by=owner, version=1, steps=STEPS[:1])
    assert kept.steps.count() == 2
    assert schedule_change(schedule=kept, by=owner, version=1, steps=STEPS, note="fine").note == "fine"


def test_a_hidden_schedule_comes_back_on_the_list(owner, yard):
    kept = schedule_hide(schedule=schedule_add(by=owner, name="Slow", steps=STEPS), by=owner)
    assert kept.hidden_at is not None
    assert schedule_hide(schedule=kept, by=owner).hidden_at is None


def test_a_cooler_kiln_holds_the_emc_of_each_step_and_shows_how():
    full, cooler = step_rows(assemble("T4-D2")), capped_rows(assemble("T4-D2"), 120.0)
    assert [row.capped for row in cooler] == [row.step.dry_bulb_f > 120 for row in full]
    for was, now in zip(full, cooler, strict=True):
        assert now.step.emc_pct == pytest.approx(was.step.emc_pct)
        assert now.step.dry_bulb_f == min(was.step.dry_bulb_f, 120.0)
        if now.capped:
            assert now.working.result == pytest.approx(now.step.rh_pct)
    assert full[0].working.result == full[0].step.emc_pct
    assert full[-1].until_mc_pct is None
