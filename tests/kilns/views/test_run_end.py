"""The end of a run on its pages: the heat clock, the record to print, final MC by board, closing."""

import uuid
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from kilns.models import FinalReading, Treatment
from kilns.services.run_records import final_reading_record
from tests.kilns.make import BEGAN, go_on, make_kiln, make_kiln_sensor, make_run, make_running, read_every
from tests.make import make_bay, make_slab, make_stack
from yard.models import MeterReading, Slab
from yard.services.moisture_records import oven_section_record
from yard.services.stacks import stack_add_slabs, stack_take_out
from yard.services.weighings import sample_add

HEAT, END = BEGAN + timedelta(days=20), BEGAN + timedelta(days=21)


def text_of(response):
    return " ".join(response.content.decode().split())


def typed(at):
    return timezone.localtime(at, ZoneInfo("America/Chicago")).strftime("%Y-%m-%dT%H:%M")


@pytest.fixture
def run(yard):
    slabs = [make_slab(f"A-{n}") for n in range(3)]
    return make_running(kiln=make_kiln("Barn kiln"), stacks=[make_stack("ST-1", slabs=slabs)], name="Oak")


@pytest.fixture
def sanitising(run):
    air, probe = make_kiln_sensor(run.kiln), make_kiln_sensor(run.kiln, "core", "Probe", kind="core")
    read_every(air, HEAT - timedelta(hours=12), END, temp_f=lambda gone: 118.0 if gone < 720 else 150.0, rh_pct=30.0)
    read_every(probe, HEAT, END, core_f=lambda gone: min(138.0, 118.0 + gone / 20))
    go_on(run, "sanitise", 1, HEAT)
    go_on(run, "cool", 1, END)
    return run


def heat(run, action="look", **more):
    form = {
        "kind": "ispm-15", "since": typed(HEAT), "until": typed(END), "species_key": "northern red oak",
        "thickness_in": "2.125", "width_in": "17", "mc_pct": "8", "words": "A-1, middle course", "action": action,
    }  # fmt: skip
    return f"/kilns/runs/{run.pk}/heat/", form | more


def test_the_heat_clock_opens_with_the_sanitising_phase_and_the_slowest_piece(owner_client, sanitising):
    text = text_of(owner_client.get(f"/kilns/runs/{sanitising.pk}/heat/"))
    for words in (typed(HEAT), typed(END), "A-0, 2.125 in thick", "not a phytosanitary certificate"):
        assert words in text


def test_probes_and_model_are_shown_side_by_side_and_nothing_is_kept_by_looking(owner_client, sanitising):
    url, form = heat(sanitising)
    text = text_of(owner_client.post(url, form))
    assert text.count('notice-word">Proved') == 2
    assert "Probe is the slowest" in text
    assert Treatment.objects.count() == 0


@pytest.mark.parametrize(("action", "proved_by"), [("keep-probe", "probe"), ("keep-model", "model")])
def test_a_record_is_kept_and_printed_as_no_certificate(owner_client, sanitising, action, proved_by):
    url, form = heat(sanitising, action)
    response = owner_client.post(url, form)
    kept = Treatment.objects.get()
    assert response.url == f"/kilns/treatments/{kept.pk}/"
    assert (kept.proved_by, kept.core_f) == (proved_by, 133.0)
    assert kept.lowest_core_f >= 133.0
    text = text_of(owner_client.get(response.url))
    for words in ("Not a certificate", "A-1, middle course", "A-0, A-1, A-2", "30 minutes without a break"):
        assert words in text


def test_the_record_names_the_slabs_that_were_in_the_load_then_and_no_others(owner_client, sanitising):
    stack = sanitising.run_stacks.get().stack
    before = stack.slabs_now.get(tag="A-0")
    stack_take_out(stack=stack, slabs=[before], at=HEAT - timedelta(days=1), by=None)
    stack_add_slabs(stack=stack, slabs=[make_slab("LATE")], at=END + timedelta(hours=1), by=None)
    url, form = heat(sanitising, "keep-probe")
    text = text_of(owner_client.get(owner_client.post(url, form).url))
    assert "A-1, A-2" in text
    assert "A-0" not in text
    assert "LATE" not in text


def test_what_the_kiln_did_before_the_run_is_no_proof_for_its_load(owner_client, run):
    probe = make_kiln_sensor(run.kiln, "core", "Probe", kind="core")
    before = BEGAN - timedelta(days=1)
    read_every(probe, before, before + timedelta(hours=2), core_f=140.0)
    url, form = heat(run, "keep-probe", since=typed(before), until=typed(before + timedelta(hours=2)))
    response = owner_client.post(url, form)
    assert (response.status_code, Treatment.objects.count()) == (422, 0)
    assert "Oak began on" in text_of(response)


def test_a_piece_described_as_thinner_and_drier_than_the_load_is_told_and_printed(owner_client, sanitising):
    cohort = sanitising.run_stacks.get().stack.cohorts.get()
    sample = sample_add(cohort=cohort, name="A")
    oven_section_record(
        cohort=cohort, sample=sample, sample_weight_lb=12.0, wet_lb=1.2, oven_dry_lb=1.0, by=None, cut_at=BEGAN,
        typed_value="12.0", typed_unit="lb",
    )  # fmt: skip
    url, form = heat(sanitising, thickness_in="1")
    words = ("Followed for 1 in: the thickest piece of the load, A-0", "Followed at 8.0%: the wettest sample has 20.0%")
    text = text_of(owner_client.post(url, form))
    printed = text_of(owner_client.get(owner_client.post(url, form | {"action": "keep-model"}).url))
    for one in words:
        assert one in text
        assert one in printed


def test_wet_wood_gets_no_time_and_no_record(owner_client, sanitising):
    url, form = heat(sanitising, mc_pct="60")
    text = text_of(owner_client.post(url, form))
    assert "only a probe in the core can tell" in text
    url, form = heat(sanitising, "keep-model", mc_pct="60")
    response = owner_client.post(url, form)
    assert (response.status_code, Treatment.objects.count()) == (422, 0)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"until": "2026-03-01T10:00"}, "That is before it begins"),
        ({"until": "2026-05-01T10:00"}, "Give at most 7 days"),
        ({"species_key": "plastic"}, "No wood is called"),
        ({"words": ""}, "This field is required"),
        ({"start_f": "140"}, "begin before it is warm"),
    ],
)
def test_a_heat_clock_that_cannot_be_asked_says_why(owner_client, sanitising, more, words):
    url, form = heat(sanitising, **more)
    response = owner_client.post(url, form)
    assert (response.status_code, words in text_of(response)) == (422, True)


def test_a_planned_run_has_no_heat_to_look_at(owner_client, yard):
    run = make_run()
    response = owner_client.get(f"/kilns/runs/{run.pk}/heat/")
    assert response.url == f"/kilns/runs/{run.pk}/"


def test_the_words_of_a_record_are_changed_with_history_and_two_people_notice_each_other(owner_client, sanitising):
    url, form = heat(sanitising, "keep-probe")
    record = owner_client.post(url, form).url
    assert owner_client.post(record, {"version": 1, "slowest": "A-2, top"}).status_code == 302
    text = text_of(owner_client.get(record))
    assert "A-2, top" in text
    assert "slowest was “A-1, middle course”" in text
    assert owner_client.post(record, {"version": 1, "slowest": "A-0"}).status_code == 409


def test_final_readings_are_written_down_board_by_board(owner_client, run):
    url = f"/kilns/runs/{run.pk}/final/"
    assert "Give the MC of at least one board" in text_of(owner_client.post(url, {"at": ""}))
    one, other = Slab.objects.order_by("tag")[:2]
    form = {f"mc_{one.pk}": "7.5", f"shell_{one.pk}": "7", f"core_{one.pk}": "8.5", f"mc_{other.pk}": "8"}
    response = owner_client.post(url, form | {"by_meter": "on"})
    assert response.url == f"/kilns/runs/{run.pk}/close/"
    found = [(row.slab, row.mc_pct, row.core_pct) for row in FinalReading.objects.order_by("pk")]
    assert found == [(one, 7.5, 8.5), (other, 8.0, None)]
    assert owner_client.post(url, {f"mc_{one.pk}": "60"}).status_code == 422


def test_final_readings_sent_twice_count_once_and_a_slip_is_taken_back_with_its_meter_reading(owner_client, run):
    url, slab = f"/kilns/runs/{run.pk}/final/", Slab.objects.get(tag="A-0")
    form = {f"mc_{slab.pk}": "18", "by_meter": "on", "client_key": str(uuid.uuid4())}
    owner_client.post(url, form)
    owner_client.post(url, form)
    assert (FinalReading.objects.count(), MeterReading.objects.count()) == (1, 1)
    slip = FinalReading.objects.get()
    assert f"/kilns/runs/out/final/{slip.pk}/" in text_of(owner_client.get(url))
    response = owner_client.post(f"/kilns/runs/out/final/{slip.pk}/", {"reason": "8, not 18"})
    assert response.url == url
    assert (FinalReading.objects.standing().count(), MeterReading.objects.standing().count()) == (0, 0)


def test_once_a_run_is_closed_nothing_more_is_written_down_of_it(owner_client, run):
    kept, _ = final_reading_record(run=run, slab=Slab.objects.first(), mc_pct=7.8, by=None)
    url = f"/kilns/runs/{run.pk}/close/"
    assert owner_client.post(url, {"version": run.version, "store": "", "stacks": "standing"}).status_code == 302
    late = owner_client.post(f"/kilns/runs/{run.pk}/condensate/", {"water_lb": "20"})
    assert (late.status_code, run.condensates.count()) == (422, 0)
    owner_client.post(f"/kilns/runs/out/final/{kept.pk}/", {"reason": "wrong"})
    assert FinalReading.objects.standing().count() == 1


def test_closing_needs_a_final_reading_and_then_says_what_the_run_gave(owner_client, run):
    store = make_bay("Dry room", "dry_store")
    url = f"/kilns/runs/{run.pk}/close/"
    form = {"version": run.version, "store": store.pk, "stacks": "down", "meter_kwh": "", "other_cost": "25"}
    response = owner_client.post(url, form)
    assert (response.status_code, "Measure the final MC" in text_of(response)) == (422, True)
    final_reading_record(run=run, slab=Slab.objects.first(), mc_pct=7.8, by=None)
    response = owner_client.post(url, form)
    assert response.status_code == 302
    text = text_of(owner_client.get(response.url))
    for words in ("What it gave", "3 slabs", "by shrinkage", "$25.00", "No degrade was written down"):
        assert words in text
    assert set(Slab.objects.values_list("state", flat=True)) == {"dry"}
    assert owner_client.post(url, form).status_code in (409, 422)


def test_a_hand_closes_and_a_viewer_does_not(hand_client, viewer_client, run):
    assert hand_client.get(f"/kilns/runs/{run.pk}/close/").status_code == 200
    assert viewer_client.get(f"/kilns/runs/{run.pk}/close/").status_code == 403
