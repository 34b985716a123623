"""The pages of kilns: list, taking one up, changing its parts, the sheet and its what-ifs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from kilns.forms.equipment_form import CircuitFormSet
from kilns.models import Device, Kiln, KilnSurface
from tests.kilns.make import make_kiln
from tests.make import make_bay
from yard.models import Bay

NEW = "/kilns/new/"


def page(kiln, name="kiln-page"):
    return reverse(f"kilns:{name}", args=[kiln.pk])


def text_of(response):
    return " ".join(response.content.decode().split())


def edited(kiln, **more):
    values = {
        "version": kiln.version, "name": kiln.name, "chamber_length_ft": "12", "chamber_width_ft": "4",
        "chamber_volume_ft3": "209", "stack_length_ft": "10", "stack_width_ft": "3", "stack_height_ft": "4",
        "air_changes_per_h": "0.5", "vent_cfm": "0", "structure_btu_f": "150", "glazing_tilt_deg": "55",
        "glazing_facing_deg": "180", "hottest_f": "120", "energy_price": "", "note": "",
    }  # fmt: skip
    return values | more


def rows(prefix, told):
    form = {f"{prefix}-TOTAL_FORMS": len(told), f"{prefix}-INITIAL_FORMS": 0}
    return form | {f"{prefix}-{n}-{name}": value for n, row in enumerate(told) for name, value in row.items()}


def test_a_kiln_is_taken_up_from_the_example_and_its_sheet_is_there(owner_client, yard):
    response = owner_client.post(NEW, {"name": "Barn kiln", "start": "example"})
    kiln = Kiln.objects.get()
    assert response.url == page(kiln, "kiln-edit")
    text = text_of(owner_client.get(page(kiln)))
    for words in ("Drying at 120", "Sanitising at 140", "down to", "outdoors,", "Which stacks fit", "Best tilt",
                  "Within 80%", "Confined space", "the program switches nothing", "Show the working"):  # fmt: skip
        assert words in text
    assert "Barn kiln" in text_of(owner_client.get("/kilns/"))


def test_an_empty_start_asks_for_the_sizes_and_takes_a_bay_that_is_there(owner_client, yard):
    bay = make_bay("Sun kiln", kind="kiln")
    response = owner_client.post(NEW, {"name": "Sun", "start": "empty", "bay": bay.pk})
    assert response.status_code == 422
    assert text_of(response).count("Give the size of the chamber") == 3
    sizes = {"length_ft": "14", "width_ft": "6", "height_ft": "7"}
    owner_client.post(NEW, {"name": "Sun", "start": "empty", "bay": bay.pk} | sizes)
    kiln = Kiln.objects.get()
    assert (kiln.bay, kiln.chamber_volume_ft3, kiln.stack_width_ft) == (bay, 588.0, 5.0)
    assert "The sheet has no walls yet" in text_of(owner_client.get(page(kiln)))
    assert Bay.objects.count() == 1


def test_a_changed_figure_is_kept_and_two_people_notice_each_other(owner_client, yard):
    kiln = make_kiln()
    assert (
        owner_client.post(page(kiln, "kiln-edit"), edited(kiln, hottest_f="125", energy_price="0.1650")).status_code
        == 302
    )
    kept = Kiln.objects.get()
    assert (kept.hottest_f, str(kept.energy_price)) == (125.0, "0.1650")
    response = owner_client.post(page(kiln, "kiln-edit"), edited(kiln, hottest_f="110"))
    assert response.status_code == 409
    assert "Saved meanwhile" in text_of(response)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "required"),
        ({"air_changes_per_h": "tight"}, "Type a plain figure"),
        ({"hottest_f": "500"}, "That is too large"),
        ({"stack_length_ft": "13"}, "The chamber is not that long"),
        ({"chamber_volume_ft3": "50"}, "The largest stack alone takes more room"),
        ({"glazing_tilt_deg": "120"}, "Give 0 to 90"),
    ],
)
def test_a_kiln_that_cannot_be_is_told_beside_the_field(owner_client, yard, wrong, words):
    kiln = make_kiln()
    response = owner_client.post(page(kiln, "kiln-edit"), edited(kiln, **wrong))
    assert response.status_code == 422
    field = next(iter(wrong))
    beside = text_of(response).split(f'id="field-{field}"')[1].split("</div>")[0]
    assert words in beside
    assert Kiln.objects.get().version == 1


def test_a_metric_person_types_square_metres_and_reads_celsius(owner, owner_client, yard):
    owner.units = "metric"
    owner.save()
    kiln = make_kiln()
    told = {"version": 1, "part": "door", "name": "door", "area_ft2": "2"}
    layers = rows("layers", [{"material": "xps", "thickness_in": "50.8"}])
    owner_client.post(page(kiln, "kiln-surface-new"), told | layers)
    door = KilnSurface.objects.get(name="door")
    assert door.area_ft2 == pytest.approx(2 * 10.7639, rel=1e-4)
    assert door.layers.get().thickness_in == pytest.approx(2.0)
    assert "Drying at 48.9 °C" in text_of(owner_client.get(page(kiln)))


def test_a_surface_is_changed_and_taken_off_without_a_script(owner_client, yard):
    make_kiln()
    floor = KilnSurface.objects.get(name="floor")
    told = {"version": 1, "part": "floor", "name": "floor", "area_ft2": "48"}
    wrong = owner_client.post(
        f"/kilns/surfaces/{floor.pk}/", told | rows("layers", [{"material": "xps"}, {"material": "own"}])
    )
    assert wrong.status_code == 422
    assert "Give its thickness" in text_of(wrong)
    assert "Give the R-value" in text_of(wrong)
    right = rows("layers", [{"material": "xps", "thickness_in": "4", "vapour_barrier": "on"}, {"material": ""}])
    assert owner_client.post(f"/kilns/surfaces/{floor.pk}/", told | right).status_code == 302
    layer = floor.layers.get()
    assert (layer.thickness_in, layer.vapour_barrier) == (4.0, True)
    assert owner_client.post(f"/kilns/surfaces/{floor.pk}/", told | right).status_code == 409
    owner_client.post(f"/kilns/surfaces/{floor.pk}/remove/", {"version": 1})
    assert KilnSurface.objects.filter(pk=floor.pk).exists(), "an old page takes nothing off"
    owner_client.post(f"/kilns/surfaces/{floor.pk}/remove/", {"version": 2})
    assert not KilnSurface.objects.filter(pk=floor.pk).exists()


def test_equipment_is_entered_in_rows_and_an_overloaded_circuit_is_told(owner_client, yard):
    kiln = make_kiln()
    circuits = rows("circuits", [{"name": "Shop", "breaker_a": "15", "volts": "120"}, {"name": ""}])
    devices = rows("devices", [
        {"name": "Heater", "kind": "heater", "count": "1", "power_w": "1500", "circuit": "Shop"},
        {"name": "Fan", "kind": "fan", "count": "2", "power_w": "60", "curve": "0: 900; 0,1: 700"},
        {"name": "", "kind": "heater"},
    ])  # fmt: skip
    assert owner_client.post(page(kiln, "kiln-equipment"), {"version": 1} | circuits | devices).status_code == 302
    assert Device.objects.get(name="Fan").curve == [[0.0, 900.0], [0.1, 700.0]]
    text = text_of(owner_client.get(page(kiln)))
    assert "Over 80%" in text
    assert "licensed electrician" in text
    assert "On no circuit: Fan" in text


def test_equipment_that_cannot_be_is_told_and_nothing_is_lost(owner_client, yard):
    kiln = make_kiln()
    circuits = rows("circuits", [{"name": "Shop", "breaker_a": "", "volts": "9000"}])
    devices = rows("devices", [
        {"name": "Heater", "kind": "heater"}, {"name": "Dryer", "kind": "dehumidifier", "power_w": "500"},
        {"name": "Fan", "kind": "fan", "power_w": "50", "curve": "a lot"},
    ])  # fmt: skip
    response = owner_client.post(page(kiln, "kiln-equipment"), {"version": 1} | circuits | devices)
    assert response.status_code == 422
    text = text_of(response)
    for words in ("Read it off the breaker", "Give 100 to 480 V", "Read it off the nameplate", "Say what it takes out",
                  "Type points like"):  # fmt: skip
        assert words in text
    lost = rows("devices", [{"name": "Heater", "kind": "heater", "power_w": "900", "circuit": "Nowhere"}])
    good = rows("circuits", [{"name": "Shop", "breaker_a": "15", "volts": "120"}])
    response = owner_client.post(page(kiln, "kiln-equipment"), {"version": 1} | good | lost)
    assert "no circuit called Nowhere" in text_of(response)
    assert Device.objects.count() == 4
    assert CircuitFormSet.absolute_max == 40


def test_what_if_changes_the_figures_and_saves_nothing(owner_client, yard):
    kiln = make_kiln()
    as_built = text_of(owner_client.get(page(kiln)))
    tried = text_of(owner_client.get(page(kiln), {"heater_w": "1500", "outdoor_f": "-10"}))
    assert "Nothing was saved" not in as_built
    assert "another heater power than the kiln has. Nothing was saved" in tried
    assert "-10 °F outdoors" in tried.replace("−", "-")
    kiln.refresh_from_db()
    assert (kiln.version, Device.objects.filter(kind="heater").count()) == (1, 2)


def test_a_wrong_what_if_is_told_beside_its_field_and_the_sheet_stays(owner_client, yard):
    response = owner_client.get(page(make_kiln()), {"species_key": "plastic", "outdoor_f": "cold", "heater_w": "-5"})
    assert response.status_code == 422
    text = text_of(response)
    assert "No wood is called" in text
    assert text.count("Not yet:") >= 3
    assert "Drying at 120" in text


def test_strangers_see_no_kiln_and_hands_change_none(client, hand_client, viewer_client, yard):
    kiln = make_kiln()
    assert client.get("/kilns/").status_code == 302
    assert client.get(page(kiln)).url.startswith("/login/")
    assert viewer_client.get(page(kiln)).status_code == 200
    assert "Change</a>" not in text_of(hand_client.get(page(kiln)))
    assert hand_client.post(page(kiln, "kiln-edit"), edited(kiln)).status_code == 403
    assert Kiln.objects.get().version == 1


def test_the_list_and_the_sheet_take_a_fixed_number_of_queries(owner_client, yard):
    kiln = make_kiln()

    def queries(path):
        with CaptureQueriesContext(
            connection,
        ) as caught:
            owner_client.get(path)
        return len(caught)

    owner_client.get("/kilns/")
    before = queries("/kilns/"), queries(page(kiln))
    for _ in range(5):
        make_kiln()
    assert (queries("/kilns/"), queries(page(kiln))) == before


def test_closing_a_kiln_says_so(owner_client, yard):
    kiln = make_kiln()
    owner_client.post(page(kiln, "kiln-close"))
    assert "closed" in text_of(owner_client.get(page(kiln)))
    assert "Closed" in text_of(owner_client.get("/kilns/"))
