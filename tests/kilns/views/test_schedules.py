"""The pages of schedules: finding, keeping, writing, translating for a kiln."""

import pytest

from kilns.models import Schedule
from kilns.physics.schedules import table_step
from kilns.services.schedules import schedule_add
from tests.kilns.make import make_kiln

FIND, NEW = "/kilns/schedules/find/", "/kilns/schedules/new/"


def text_of(response):
    return " ".join(response.content.decode().split())


def typed(*steps, **more):
    form = {"name": "Slow oak", "steps-TOTAL_FORMS": max(1, len(steps)), "steps-INITIAL_FORMS": 0}
    return form | {f"steps-{n}-{name}": value for n, step in enumerate(steps) for name, value in step.items()} | more


def make_schedule(name="Slow"):
    return schedule_add(by=None, name=name, steps=[table_step(400, 100, 5), table_step(30, 150, 30)], note="ours")


def test_a_wood_and_a_thickness_give_the_published_schedule(owner_client, yard):
    text = text_of(owner_client.get(FIND, {"species_key": "northern red oak", "thickness_in": "4/4"}))
    for words in ("T4-D2", "check against the publication", "Steps as published", "110 °F", "106 °F", "green to 50%"):
        assert words in text


def test_a_code_is_found_and_brought_to_a_kiln_by_holding_the_emc(owner_client, yard):
    kiln = make_kiln("Barn kiln")
    text = text_of(owner_client.get(FIND, {"code": "T4-D2", "kiln": kiln.pk}))
    assert "In Barn kiln, which holds 120 °F" in text
    assert text.count('badge info">cooler') == 3  # the table is at 130, 140 and 180 °F there
    assert "the EMC is held instead" in text


@pytest.mark.parametrize(
    ("asked", "status", "words"),
    [
        ({"species_key": "oak", "thickness_in": "4/4"}, 422, "Which one do you mean"),
        ({"species_key": "eastern white pine", "thickness_in": "4/4"}, 200, "softwood"),
        ({"code": "X9"}, 200, "A code reads like T4-D2"),
        ({"species_key": "plastic", "thickness_in": "4/4"}, 422, "No wood is called"),
        ({"species_key": "northern red oak"}, 422, "Give the thickness"),
        ({"thickness_in": "4/4"}, 422, "Give the wood, or a code"),
    ],
)
def test_what_the_tables_do_not_have_is_said_in_words(owner_client, yard, asked, status, words):
    response = owner_client.get(FIND, asked)
    assert response.status_code == status
    assert words in text_of(response)


def test_a_published_schedule_is_kept_under_a_name(hand_client, yard):
    data = {"name": "Red oak 4/4", "code": "T4-D2", "species_key": "oak-northern-red", "thickness_in": "1.0"}
    response = hand_client.post("/kilns/schedules/take/", data)
    kept = Schedule.objects.get()
    assert response.url == f"/kilns/schedules/{kept.pk}/"
    assert "from memory" in text_of(hand_client.get(response.url)).lower()
    again = hand_client.post("/kilns/schedules/take/", data)
    assert again.status_code == 422
    assert "Another schedule is called Red oak 4/4" in text_of(again)


def test_an_own_schedule_is_written_with_wet_bulb_or_humidity(hand_client, yard):
    steps = (
        {"mc_from_pct": "", "dry_bulb_f": "100", "wet_bulb_f": "95"},
        {"mc_from_pct": "30", "dry_bulb_f": "110", "rh_pct": "50"}, {},
    )  # fmt: skip
    response = hand_client.post(NEW, typed(*steps, note="gentle"))
    kept = Schedule.objects.get()
    assert response.url == f"/kilns/schedules/{kept.pk}/"
    first, second = kept.steps.all()
    assert (first.mc_from_pct, first.wet_bulb_f, second.rh_pct) == (400.0, 95.0, 50.0)
    assert "gentle" in text_of(hand_client.get(response.url))


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ({"mc_from_pct": "30"}, "Give the dry bulb of this step"),
        ({"dry_bulb_f": "110"}, "Give the wet bulb, or the humidity"),
        ({"dry_bulb_f": "110", "wet_bulb_f": "120"}, "The wet bulb is never over the dry bulb"),
        ({"dry_bulb_f": "210", "wet_bulb_f": "100"}, "Not yet:"),
        ({"dry_bulb_f": "warm"}, "Not yet:"),
        ({}, "It has no steps"),
    ],
)
def test_a_step_that_cannot_be_is_told(hand_client, yard, step, words):
    response = hand_client.post(NEW, typed(step))
    assert response.status_code == 422
    assert words in text_of(response)
    assert Schedule.objects.count() == 0


def test_a_schedule_saved_untouched_stays_as_it_was_and_meets_another_hand(hand_client, yard):
    kept = make_schedule()
    path = f"/kilns/schedules/{kept.pk}/edit/"
    same = ({"dry_bulb_f": "100", "wet_bulb_f": "95"}, {"mc_from_pct": "30", "dry_bulb_f": "150", "wet_bulb_f": "120"})
    data = typed(*same, name="Slow", note="ours", version=1) | {"steps-INITIAL_FORMS": 2}
    assert hand_client.post(path, data).status_code == 302
    kept.refresh_from_db()
    assert kept.version == 1
    assert hand_client.post(path, data | {"note": "milder"}).status_code == 302
    assert hand_client.post(path, data | {"note": "older"}).status_code == 409


def test_a_kept_schedule_is_shown_in_a_kiln_and_taken_off_the_list(hand_client, yard):
    kept, kiln = make_schedule(), make_kiln("Barn kiln")
    text = text_of(hand_client.get(f"/kilns/schedules/{kept.pk}/", {"kiln": kiln.pk}))
    assert "In Barn kiln" in text
    hand_client.post(f"/kilns/schedules/{kept.pk}/hide/")
    assert f"/kilns/schedules/{kept.pk}/" not in text_of(hand_client.get("/kilns/schedules/"))
    assert f"/kilns/schedules/{kept.pk}/" in text_of(hand_client.get("/kilns/schedules/?hidden=yes"))


def test_viewers_look_and_strangers_do_not(client, viewer_client, yard):
    make_schedule()
    assert viewer_client.get("/kilns/schedules/").status_code == 200
    assert viewer_client.post(NEW, typed()).status_code == 403
    assert client.get("/kilns/schedules/").status_code == 302
    assert client.post(NEW, typed()).status_code == 302
    assert Schedule.objects.count() == 1
