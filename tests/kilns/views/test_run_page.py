"""The page of a run and what is done from it."""

import uuid
from datetime import timedelta

import pytest

from kilns.models import KilnSensor, Run, RunStack, Treatment
from kilns.services.run_records import condensate_record
from tests.kilns.make import BEGAN, go_on, make_kiln, make_kiln_sensor, make_run, make_running, read_every
from tests.make import make_estimate, make_stack
from yard.models import Slab
from yard.services.moisture_records import oven_section_record
from yard.services.weighings import sample_add, weighing_record


def text_of(response):
    return " ".join(response.content.decode().split())


def page_of(client, run, more=""):
    return text_of(client.get(f"/kilns/runs/{run.pk}/{more}"))


@pytest.fixture
def running(yard):
    kiln = make_kiln("Barn kiln", energy_price="0.16")
    stack = make_stack("ST-1")
    make_estimate(stack.cohorts.get(), 24.0, path={"first": "2026-02-20", "now": 5, "mid": [24.0] * 60})
    return make_running(kiln=kiln, stacks=[stack], plan={"mean_pct": [24.0, 23.0, 22.0, 21.0, 20.0]})


def make_sample(run, name, first_mc_pct, now_mc_pct, at=BEGAN + timedelta(days=3)):
    """A sample with its own oven-dry weight of 10 lb, weighed once since."""
    cohort = run.run_stacks.get().stack.cohorts.get()
    sample = sample_add(cohort=cohort, name=name)
    begun_lb = 10.0 * (1 + first_mc_pct / 100)
    oven_section_record(
        cohort=cohort, sample=sample, sample_weight_lb=begun_lb, wet_lb=1 + first_mc_pct / 100, oven_dry_lb=1.0,
        by=None, cut_at=BEGAN, typed_value=f"{begun_lb:.3f}", typed_unit="lb",
    )  # fmt: skip
    weighing_record(sample=sample, weight_lb=10.0 * (1 + now_mc_pct / 100), by=None, made_at=at)
    return sample


def test_a_planned_run_offers_its_start_with_the_first_step_filled_in(owner_client, yard):
    run = make_run(name="March oak")
    text = page_of(owner_client, run)
    assert "Start the run" in text
    assert 'value="100"' in text  # the schedule's first dry bulb
    response = owner_client.post(f"/kilns/runs/{run.pk}/start/", {"dry_bulb_f": "100", "rh_pct": "80", "at": ""})
    assert response.status_code == 302
    run.refresh_from_db()
    assert (run.state, run.phases.get().rh_pct) == ("running", 80.0)


def test_a_start_that_cannot_be_keeps_what_was_typed(owner_client, yard):
    run = make_run()
    url = f"/kilns/runs/{run.pk}/start/"
    response = owner_client.post(url, {"dry_bulb_f": "100", "wet_bulb_f": "130"})
    assert response.status_code == 422
    assert 'value="130"' in text_of(response)
    run.refresh_from_db()
    assert run.state == "planned"


def test_the_wetter_half_of_the_samples_decides_and_is_named(owner_client, running):
    go_on(running, "drying", 1, BEGAN + timedelta(hours=12))
    for name, now in (("A", 31.0), ("B", 29.5), ("C", 24.0), ("D", 22.0)):
        make_sample(running, name, 40.0, now)
    text = page_of(owner_client, running)
    # (31.0 + 29.5) / 2 = 30.25: over the 30% of step 2, which is next
    assert "The wetter half of 4 samples (A 31.0%, B 29.5%) averages 30.2%" in text
    assert "Step 2 is due at 30%: 0.2 points to go" in text


def test_a_step_that_is_due_says_so_and_is_written_down_with_its_set_points(owner_client, running):
    go_on(running, "drying", 1, BEGAN + timedelta(hours=12))
    make_sample(running, "A", 40.0, 26.0)
    make_sample(running, "B", 40.0, 24.0)
    text = page_of(owner_client, running)
    assert "Due now" in text
    assert "Step 2: dry bulb 110 °F" in text
    running.refresh_from_db()
    form = {"version": running.version, "phase": "drying", "step": "2", "dry_bulb_f": "110", "rh_pct": "60"}
    assert owner_client.post(f"/kilns/runs/{running.pk}/on/", form).status_code == 302
    running.refresh_from_db()
    assert (running.step, running.phases.last().dry_bulb_f) == (2, 110.0)
    assert owner_client.post(f"/kilns/runs/{running.pk}/on/", form).status_code == 409  # the version has moved on


def test_equalising_and_conditioning_are_called_for_by_the_samples(owner_client, running):
    go_on(running, "drying", 4, BEGAN + timedelta(hours=12))
    make_sample(running, "A", 40.0, 9.0)
    driest = make_sample(running, "B", 40.0, 5.9)
    # target 8%: equalise at 6% EMC when the driest is at 6% (AH-188 ch. 7, from memory)
    assert "Equalise at 6% EMC" in page_of(owner_client, running)
    go_on(running, "equalise", 4, BEGAN + timedelta(days=4))
    assert "The wettest sample is still at 9.0%" in page_of(owner_client, running)
    assert driest.name == "B"


def test_samples_are_due_after_three_days_and_a_fast_one_is_marked(owner_client, running):
    go_on(running, "drying", 1, BEGAN + timedelta(hours=12))
    make_sample(running, "A", 40.0, 30.0)  # 10 points in three days; 8/4 red oak may lose about 1.5 a day
    text = page_of(owner_client, running)
    assert "1 to weigh now" in text
    assert "3.3%" in text
    assert "Over 1." in text


def test_a_sample_is_named_from_the_run_and_after_a_weighing_the_others_and_the_run_are_offered(hand_client, running):
    first, other = make_sample(running, "A", 40.0, 30.0), make_sample(running, "B", 40.0, 28.0)
    assert f'href="/cohorts/{first.cohort_id}/samples/new/"' in page_of(hand_client, running)
    kept = text_of(hand_client.get(f"/weigh/kept/weighing/{first.weighings.latest('made_at').pk}/"))
    assert f'href="/weigh/{other.code}/">B <span class="badge caution">Due</span>' in kept
    assert f'href="/weigh/{first.code}/">A' not in kept
    assert f'<a href="/kilns/runs/{running.pk}/">Back to the run {running.name}</a>' in kept


def test_predicted_and_measured_stand_beside_each_other(owner_client, running):
    go_on(running, "drying", 1, BEGAN)
    make_sample(running, "A", 24.0, 22.5, at=BEGAN + timedelta(days=3))
    # the plan has 21 on day 3
    assert "Day 3: 1 samples average 22.5%, 1.5 points wetter than planned (21.0%)" in page_of(owner_client, running)


def test_readings_are_drawn_and_said_in_words_and_in_a_table(owner_client, running):
    sensor = make_kiln_sensor(running.kiln, name="Kiln air")
    read_every(sensor, BEGAN, BEGAN + timedelta(days=2), temp_f=lambda gone: min(110.0, 90 + gone / 60), rh_pct=60.0)
    response = owner_client.get(f"/kilns/runs/{running.pk}/")
    text = text_of(response)
    assert "Dry bulb 110 °F at the last, set to 100 °F" in text
    assert "Kiln air" in text
    assert "289 readings stand behind them" in text
    assert {one["key"] for one in response.context["page"].chart["lines"]} == {"dry", "rh", "wet", "emc"}


def test_water_meter_notes_and_prongs_are_written_down_and_shown(owner_client, running):
    base = f"/kilns/runs/{running.pk}"
    owner_client.post(f"{base}/condensate/", {"water_lb": "12.5"})
    owner_client.post(f"{base}/energy/", {"meter_kwh": "100"})
    owner_client.post(f"{base}/energy/", {"meter_kwh": "140"})
    slab = Slab.objects.first()
    note = {"kind": "degrade", "note": "end checks", "slab": slab.tag}
    owner_client.post(f"{base}/note/", note)
    owner_client.post(f"{base}/prong/", {"value": "1/2"})
    text = page_of(owner_client, running)
    for words in ("12.50 lb caught", "40.0 kWh", "end checks", "casehardened", "Condition, or condition longer"):
        assert words in text
    response = owner_client.post(f"{base}/note/", note | {"slab": "nothing"})
    assert (response.status_code, "No slab of this run is called nothing" in text_of(response)) == (422, True)


def test_a_sensor_that_replaced_another_goes_on_with_its_line_and_counts_while_it_stood_there(owner_client, running):
    first, second = make_kiln_sensor(running.kiln), make_kiln_sensor(running.kiln)
    change = BEGAN + timedelta(days=1)
    KilnSensor.objects.filter(sensor=first).update(until=change)
    KilnSensor.objects.filter(sensor=second).update(since=change)
    read_every(first, BEGAN, BEGAN + timedelta(days=2), temp_f=lambda gone: 100.0 if gone <= 1440 else 40.0)
    read_every(second, BEGAN, BEGAN + timedelta(days=2), temp_f=lambda gone: 20.0 if gone < 1440 else 110.0)
    text = page_of(owner_client, running)
    assert "Dry bulb 110 °F at the last" in text
    assert "between 100 °F and 110 °F all along" in text


def test_all_the_water_counts_however_often_it_was_caught_and_a_double_click_counts_once(owner_client, running):
    for n in range(45):
        condensate_record(run=running, water_lb=2.0, by=None, at=BEGAN + timedelta(hours=n + 1))
    form = {"water_lb": "10", "client_key": str(uuid.uuid4())}
    for _ in range(2):
        assert owner_client.post(f"/kilns/runs/{running.pk}/condensate/", form).status_code == 302
    text = page_of(owner_client, running)
    assert "Water caught</dt><dd>100.0 lb" in text
    assert 'name="client_key"' in text


def test_samples_of_one_name_in_two_stacks_are_two(owner_client, running):
    make_sample(running, "A", 40.0, 30.0)
    first = running.run_stacks.get()
    RunStack.objects.filter(pk=first.pk).update(stack=make_stack("ST-other"))
    make_sample(running, "A", 40.0, 20.0)
    RunStack.objects.create(run=running, stack=first.stack)
    assert "2 samples average 25.0%" in page_of(owner_client, running)


def test_the_water_caught_says_how_wet_the_load_is_at_most(owner_client, running):
    running.plan = {"footage_bf": 120.0, "species_key": "oak-northern-red", "thickness_in": 1.0, "start_mc_pct": 30.0}
    running.save()
    owner_client.post(f"/kilns/runs/{running.pk}/condensate/", {"water_lb": "35"})
    # 120 bf x 62.4 x 0.56 / 12 = 349 lb dry; 35 lb are 10.0 points of 30
    assert "So the load holds 20.0% at most" in page_of(owner_client, running)


def test_who_weighs_in_kilograms_reads_them_and_what_was_typed_is_kept_as_typed(owner, owner_client, running):
    owner.units = "metric"
    owner.save()
    running.plan = {"water_lb": 220.462}
    running.save()
    owner_client.post(f"/kilns/runs/{running.pk}/condensate/", {"water_lb": "10"})
    kept = running.condensates.get()
    assert (round(kept.water_lb, 3), kept.typed_value, kept.typed_unit) == (22.046, "10", "kg")
    assert "10.00 kg of about 100.0 kg that must leave" in page_of(owner_client, running)


def test_a_run_takes_a_fixed_number_of_queries(owner_client, running, django_assert_max_num_queries):
    sensor = make_kiln_sensor(running.kiln)
    read_every(sensor, BEGAN, BEGAN + timedelta(days=3), temp_f=100.0, rh_pct=60.0)
    for n in range(6):
        make_sample(running, f"S{n}", 40.0, 30.0 - n)
    owner_client.get(f"/kilns/runs/{running.pk}/")
    with django_assert_max_num_queries(42):
        owner_client.get(f"/kilns/runs/{running.pk}/")


def test_the_list_shows_what_goes_on_first_and_then_what_was(owner_client, running):
    make_run(name="Next spring")
    Run.objects.create(kiln=running.kiln, name="Last year", state="given_up")
    text = text_of(owner_client.get("/kilns/runs/"))
    assert text.index(running.name) < text.index("Next spring") < text.index("Last year")


def test_a_viewer_sees_a_run_and_does_nothing_to_it(viewer_client, running):
    text = page_of(viewer_client, running)
    assert "It began" not in text
    for more in ("on", "start", "give-up", "condensate", "energy", "note", "prong", "close", "final", "heat"):
        assert viewer_client.post(f"/kilns/runs/{running.pk}/{more}/", {}).status_code == 403
    assert Treatment.objects.count() == 0


def test_a_run_is_given_up_with_a_reason(owner_client, running):
    url = f"/kilns/runs/{running.pk}/give-up/"
    assert owner_client.post(url, {"reason": ""}).status_code == 422
    assert owner_client.post(url, {"reason": "the fan burnt out"}).status_code == 302
    assert "the fan burnt out" in page_of(owner_client, running)
