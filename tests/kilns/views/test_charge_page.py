"""The page of a charge: candidates, working it out, planning the run."""

import pytest
from django.utils import timezone

from kilns.models import Run, Schedule
from tests.kilns.make import make_kiln, make_schedule
from tests.make import make_estimate, make_stack


@pytest.fixture
def kiln(yard):
    return make_kiln("Barn kiln", energy_price="0.16")


@pytest.fixture
def stack(kiln):
    stack = make_stack("ST-1")
    make_estimate(stack.cohorts.get(), 18.0, reached_now=0.95)
    return stack


def text_of(response):
    return " ".join(response.content.decode().split())


def url(kiln):
    return f"/kilns/{kiln.pk}/charge/"


def typed(stack, action="work", **more):
    form = {"stacks": [stack.pk], "target_mc_pct": "8", "start_on": "2026-03-02", "schedule": "", "action": action}
    return form | more


def test_the_page_shows_what_fits_and_runs_no_model(owner_client, kiln, stack, monkeypatch):
    monkeypatch.setattr("kilns.services.charge_chosen.charge_work_out", lambda **_: pytest.fail("the model ran"))
    text = text_of(owner_client.get(url(kiln)))
    for words in ("Stacks that make a charge", "ST-1", "18.0% now", "Ready", "the dehumidifier takes"):
        assert words in text


def test_working_it_out_answers_with_intervals_and_keeps_nothing(owner_client, kiln, stack):
    response = owner_client.post(url(kiln), typed(stack))
    text = text_of(response)
    assert response.status_code == 200
    for words in ("eight times in ten", "Energy that is bought", "What that costs", "decides: it dries slowest"):
        assert words in text
    assert text.count("Show the working") >= 2
    assert "Current of the charge" in text
    assert Run.objects.count() == Schedule.objects.count() == 0


def test_planning_keeps_the_run_with_its_expected_days_energy_and_cost(owner_client, kiln, stack):
    response = owner_client.post(url(kiln), typed(stack, "plan", name="March oak"))
    run = Run.objects.get()
    assert response.url == f"/kilns/runs/{run.pk}/"
    assert (run.name, run.state, str(run.planned_start_on)) == ("March oak", "planned", "2026-03-02")
    days = run.plan["days"]
    assert 0 < days["low"] < days["mid"] < days["high"]
    assert run.plan["kwh"]["low"] < run.plan["kwh"]["mid"] < run.plan["kwh"]["high"]
    assert float(run.plan["cost"]["mid"]) == pytest.approx(run.plan["kwh"]["mid"] * 0.16, rel=0.01)
    assert (run.plan["mean_pct"][0], run.plan["mean_pct"][-1]) == (18.0, pytest.approx(8.0, abs=1.0))
    assert run.schedule.code == "T3-D1"  # northern red oak 8/4 in the published index


def test_what_was_worked_out_is_carried_to_the_plan_and_not_run_again(owner_client, kiln, stack, monkeypatch):
    worked = owner_client.post(url(kiln), typed(stack)).context["form"]["worked"].value()
    monkeypatch.setattr("kilns.services.charge_chosen.charge_work_out", lambda **_: pytest.fail("the model ran again"))
    response = owner_client.post(url(kiln), typed(stack, "plan", worked=worked))
    assert response.status_code == 302
    assert Run.objects.get().plan["target_mc_pct"] == 8.0


def test_a_plan_of_another_target_or_a_forged_one_is_worked_out_anew(owner_client, kiln, stack):
    worked = owner_client.post(url(kiln), typed(stack)).context["form"]["worked"].value()
    owner_client.post(url(kiln), typed(stack, "plan", worked=worked, target_mc_pct="10"))
    assert Run.objects.get().plan["target_mc_pct"] == 10.0
    Run.objects.all().update(state="given_up")
    owner_client.post(url(kiln), typed(stack, "plan", worked=worked[:-3] + "abc"))
    assert Run.objects.get(state="planned").plan["target_mc_pct"] == 8.0


def test_a_kept_schedule_is_used_where_it_is_chosen(owner_client, kiln, stack):
    kept = make_schedule("Slow oak")
    owner_client.post(url(kiln), typed(stack, "plan", schedule=kept.pk))
    assert Run.objects.get().schedule == kept


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"stacks": []}, "Tick at least one stack"),
        ({"target_mc_pct": "30"}, "30% cannot be"),
        ({"start_on": "soon"}, "This is no day"),
        ({"start_on": "1926-03-02"}, "Look at the year"),
    ],
)
def test_bad_input_says_what_to_do(owner_client, kiln, stack, more, words):
    response = owner_client.post(url(kiln), typed(stack, **more))
    assert response.status_code == 422
    assert words in text_of(response)


def test_wood_as_dry_as_the_target_and_wood_without_an_estimate_are_refused(owner_client, kiln, stack):
    make_estimate(stack.cohorts.get(), 8.0)
    response = owner_client.post(url(kiln), typed(stack))
    assert (response.status_code, "ST-1 is as dry as that already" in text_of(response)) == (422, True)
    other = make_stack("ST-2")
    response = owner_client.post(url(kiln), typed(other))
    assert (response.status_code, "ST-2: no estimate yet" in text_of(response)) == (422, True)


def test_a_stack_held_back_can_be_chosen_and_is_told_what_speaks_against_it(owner_client, kiln, stack):
    wet = make_stack("WET")
    make_estimate(wet.cohorts.get(), 40.0, ready_on=timezone.localdate() + timezone.timedelta(days=200))
    text = text_of(owner_client.post(url(kiln), typed(wet)))
    assert "WET: Too wet: the northern red oak has 40%" in text
    assert "what it would take" in text


def test_softwood_needs_a_schedule_of_the_yards_own(owner_client, kiln):
    pine = make_stack("PINE", species="pine-eastern-white")
    make_estimate(pine.cohorts.get(), 18.0, reached_now=0.95)
    response = owner_client.post(url(kiln), typed(pine))
    assert response.status_code == 422
    assert "softwood" in text_of(response)


def test_a_viewer_looks_and_plans_nothing(viewer_client, kiln, stack):
    assert "Plan this run" not in text_of(viewer_client.get(url(kiln)))
    assert viewer_client.post(url(kiln), typed(stack, "plan")).status_code == 403
