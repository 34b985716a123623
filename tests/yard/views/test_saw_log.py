"""The saw: a row a slab."""

import uuid

import pytest

from tests.make import make_log, make_person, make_slab
from yard.models import Log, LogState, Slab, SlabState
from yard.services.sawing import saw_add
from yard.services.slabs import slab_change

HTMX = {"HX-Request": "true"}


def url_of(log, path=""):
    return f"/logs/{log.pk}/saw/{path}"


def row(**fields):
    first = {
        "client_key": str(uuid.uuid4()), "kind": "live_edge", "thickness_in": "2 1/8", "length_in": "8",
        "widths_in": "18 16.5 15 16 19",
    }  # fmt: skip
    return first | fields


@pytest.fixture
def log(yard):
    return make_log("26-7", small_end_in=20, large_end_in=24, length_ft=8.5)


def test_widths_18_16_5_15_16_19_at_24_in_show_1584_square_inches_with_their_working(hand_client, log):
    answer = hand_client.get(url_of(log, "check/"), row(), headers=HTMX)
    page = answer.content.decode()
    assert "1,584 in²" in page
    assert "5 widths, one every 24 in from end to end" in page
    assert "step × (half the first + the ones between + half the last)" in page
    assert "22.0 bf" in page
    assert not Slab.objects.exists()


def test_a_row_is_saved_at_once_and_the_log_is_on_the_mill(hand_client, hand, log):
    answer = hand_client.post(url_of(log), row())
    assert answer.headers["Location"] == url_of(log)
    slab = Slab.objects.get()
    assert (slab.tag, slab.position, slab.area_in2, slab.quarters) == ("26-7-1", 1, 1584, 8)
    assert Log.objects.get().state == LogState.ON_MILL


def test_htmx_gets_the_sheet_with_the_row_and_a_fresh_key(hand_client, log):
    sent = row()
    page = hand_client.post(url_of(log), sent, headers=HTMX).content.decode()
    assert page.lstrip().startswith('<div id="sheet"')
    assert "26-7-1 is written down" in page
    assert f'data-key="{sent["client_key"]}"' in page
    assert f'value="{sent["client_key"]}"' not in page


def test_the_same_row_sent_again_is_one_slab(hand_client, log):
    sent = row()
    for _ in range(3):
        hand_client.post(url_of(log), sent)
    assert Slab.objects.count() == 1


def test_the_next_row_remembers_thickness_length_and_kind(hand_client, log):
    hand_client.post(url_of(log), row(kind="board", widths_in="9"))
    form = hand_client.get(url_of(log)).context["form"]
    assert (form["kind"].value(), form["thickness_in"].value(), form["length_in"].value()) == ("board", "2.125", "8")
    assert not form["widths_in"].value()


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"widths_in": "18 27 19"}, "widths_in", "27 in is wider than log 26-7: its large end is 24 in"),
        ({"widths_in": ""}, "widths_in", "Type at least one width"),
        ({"widths_in": "18 lb"}, "widths_in", "is not a width"),
        ({"widths_in": "18 -16"}, "widths_in", "type it like"),
        ({"thickness_in": "8/0"}, "thickness_in", "divides by nothing"),
        ({"thickness_in": "8 lb"}, "thickness_in", "is not a thickness"),
        ({"thickness_in": "-2"}, "thickness_in", "is not a thickness"),
        ({"thickness_in": "0.2"}, "thickness_in", "too small"),
        ({"length_in": "12"}, "length_in", "longer than log 26-7"),
        ({"length_in": "eight"}, "length_in", "is not a length"),
        ({"kind": "lot", "tally": ""}, "tally", "Tally at least one board"),
        ({"kind": "lot", "tally": "6x3 40"}, "tally", "wider than log"),
        ({"kind": "lot", "tally": "6x2.5"}, "tally", "Boards of one width are typed like 8x3"),
        ({"quarters": "two"}, "quarters", "“two” is not a thickness in quarters: type it like"),
        ({"matched": "on"}, "matched", "no slab yet to match"),
        ({"area_rule": "simpson", "widths_in": "18 17 16 15"}, "widths_in", "odd number of widths"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_kept(hand_client, log, wrong, field, words):
    sent = row(**wrong)
    answer = hand_client.post(url_of(log), sent)
    assert answer.status_code == 422
    form = answer.context["form"]
    assert words in " ".join(form.errors[field]), form.errors
    assert form["widths_in"].value() == sent["widths_in"]
    assert form["client_key"].value() == sent["client_key"]
    assert not Slab.objects.exists()
    assert Log.objects.get().state == LogState.IN_YARD  # nothing half saved


def test_a_slab_wider_than_its_log_is_said_while_typing(hand_client, log):
    page = hand_client.get(url_of(log, "check/"), row(widths_in="18 27 19"), headers=HTMX).content.decode()
    assert "27 in is wider than log 26-7" in page


@pytest.mark.parametrize(
    ("typed", "widths"),
    [
        ("18; 16 1/2; 15", [18, 16.5, 15]),
        ("18 16½ 15", [18, 16.5, 15]),
        ("18, 16.5, 15", [18, 16.5, 15]),
        ("45,72 40.64 cm", [18, 16]),
    ],
)
def test_widths_are_read_as_people_type_them(hand_client, log, typed, widths):
    hand_client.post(url_of(log), row(widths_in=typed))
    assert Slab.objects.get().widths_in == pytest.approx(widths)


def test_eight_quarters_typed_as_thickness_is_two_inches_of_8_4(hand_client, log):
    hand_client.post(url_of(log), row(thickness_in="8/4"))
    slab = Slab.objects.get()
    assert (slab.thickness_in, slab.quarters) == (2, 8)


def test_a_lot_is_tallied_by_width(hand_client, log):
    hand_client.post(url_of(log), row(kind="lot", thickness_in="1 1/8", tally="6 6 7 8x3", widths_in=""))
    lot = Slab.objects.get()
    assert (lot.count, lot.narrowest_in, lot.width_basis) == (6, 6, "edged")
    assert lot.green_bf == pytest.approx((2 * 6 + 7 + 3 * 8) * 8 / 12)


def test_same_again_repeats_the_last_row_once_a_press(hand_client, log):
    hand_client.post(url_of(log), row(kind="board", widths_in="9", grade="1C"))
    key = str(uuid.uuid4())
    for _ in range(2):
        hand_client.post(url_of(log), {"repeat": "yes", "repeat_key": key})
    assert list(Slab.objects.values_list("tag", "grade", "mean_width_in")) == [("26-7-1", "1C", 9), ("26-7-2", "1C", 9)]


def test_same_again_without_a_row_says_so(hand_client, log):
    answer = hand_client.post(url_of(log), {"repeat": "yes", "repeat_key": str(uuid.uuid4())})
    assert answer.status_code == 422
    assert "no slab yet to repeat" in answer.content.decode()


def test_the_last_row_is_taken_back_once_however_often_the_button_is_pressed(hand_client, log):
    for _ in range(2):
        hand_client.post(url_of(log), row())
    last = Slab.objects.get(tag="26-7-2")
    for _ in range(2):
        hand_client.post(url_of(log, "undo/"), {"slab": last.pk})
    assert list(Slab.objects.exclude(state=SlabState.VOID).values_list("tag", flat=True)) == ["26-7-1"]
    hand_client.post(url_of(log), row())
    assert Slab.objects.filter(tag="26-7-2", position=2, state=SlabState.SAWN).count() == 1


def test_a_row_that_is_no_longer_the_last_is_not_taken_back(hand_client, log):
    for _ in range(2):
        hand_client.post(url_of(log), row())
    answer = hand_client.post(url_of(log, "undo/"), {"slab": Slab.objects.get(tag="26-7-1").pk})
    assert answer.status_code == 409
    assert "no longer the last row" in answer.content.decode()
    assert not Slab.objects.filter(state=SlabState.VOID).exists()


def test_matched_slabs_share_a_set_in_their_order(hand_client, log):
    hand_client.post(url_of(log), row())
    hand_client.post(url_of(log), row(matched="on"))
    hand_client.post(url_of(log), row(matched="on"))
    hand_client.post(url_of(log), row())
    sets = list(Slab.objects.order_by("position").values_list("matched_set", flat=True))
    assert sets == ["26-7 A"] * 3 + [""]


def test_ends_are_sealed_by_row_or_all_at_once(hand_client, log):
    hand_client.post(url_of(log), row(sealed="on"))
    hand_client.post(url_of(log), row())
    answer = hand_client.post(url_of(log, "seal/"), follow=True)
    assert "Ends sealed today: 1 slab." in answer.content.decode()
    assert not Slab.objects.filter(ends_sealed_on__isnull=True).exists()


def change(slab, **fields):
    first = {
        "version": slab.version, "kind": slab.kind, "thickness_in": "2.125", "length_in": "8",
        "widths_in": "18; 16.5; 15; 16; 19", "quarters": "8/4", "tag": slab.tag, "width_basis": "narrow_face",
        "area_rule": "trapezoid",
    }  # fmt: skip
    return {f"row-{name}": value for name, value in (first | fields).items()}


def test_a_row_is_changed_in_place_and_the_whole_sheet_comes_back(hand_client, log):
    hand_client.post(url_of(log), row())
    slab = Slab.objects.get()
    form = hand_client.get(url_of(log, f"{slab.pk}/"), headers=HTMX).content.decode()
    assert form.lstrip().startswith('<form class="form card saw-edit" id="row_form"')
    answer = hand_client.post(url_of(log, f"{slab.pk}/"), change(slab, widths_in="10"), headers=HTMX)
    assert answer.headers["HX-Retarget"] == "#sheet"
    slab.refresh_from_db()
    assert (slab.widths_in, slab.version) == ([10], 2)


def test_a_row_is_changed_without_a_script(hand_client, log):
    hand_client.post(url_of(log), row())
    slab = Slab.objects.get()
    assert "Change 26-7-1" in hand_client.get(url_of(log, f"{slab.pk}/")).content.decode()
    answer = hand_client.post(url_of(log, f"{slab.pk}/"), change(slab, thickness_in="1 1/8"))
    assert answer.headers["Location"] == url_of(log)
    slab.refresh_from_db()
    assert (slab.thickness_in, slab.quarters) == (1.125, 4)  # the nominal follows when only the thickness is changed


def test_two_people_changing_one_row_see_both(hand_client, log):
    hand_client.post(url_of(log), row())
    slab = Slab.objects.get()
    stale = change(slab, widths_in="11")
    slab_change(by=None, slab=slab, version=1, widths_in=[12.0])
    answer = hand_client.post(url_of(log, f"{slab.pk}/"), stale)
    assert answer.status_code == 409
    assert "Saved meanwhile" in answer.content.decode()
    assert Slab.objects.get().widths_in == [12]


def test_a_row_wider_than_the_log_is_refused_when_changed(hand_client, log):
    hand_client.post(url_of(log), row())
    slab = Slab.objects.get()
    answer = hand_client.post(url_of(log, f"{slab.pk}/"), change(slab, widths_in="30"))
    assert answer.status_code == 422
    assert "wider than log" in " ".join(answer.context["form"].errors["widths_in"])


def test_a_lot_of_several_lengths_keeps_them_when_its_grade_is_changed(hand_client, log):
    tally = [{"width_in": 6, "length_in": 96, "count": 2}, {"width_in": 7, "length_in": 48, "count": 1}]
    lot = make_slab(log=log, kind="lot", tally=tally, widths_in=[], thickness_in=1.125, quarters=4)
    sent = change(lot, thickness_in="1.125", widths_in="", quarters="4/4", tally="6x2; 7", grade="2A")
    assert hand_client.post(url_of(log, f"{lot.pk}/"), sent).status_code == 302
    lot.refresh_from_db()
    assert (lot.grade, lot.tally) == ("2A", tally)


def test_a_row_is_made_void_from_its_form(hand_client, log):
    hand_client.post(url_of(log), row())
    slab = Slab.objects.get()
    hand_client.post(url_of(log, f"{slab.pk}/"), {"void": "yes"})
    slab.refresh_from_db()
    assert slab.state == SlabState.VOID


def test_finishing_shows_the_yield_and_needs_a_slab(hand_client, log):
    answer = hand_client.post(url_of(log, "finish/"))
    assert answer.status_code == 409
    assert "No slab is written down yet" in answer.content.decode()
    hand_client.post(url_of(log), row())
    answer = hand_client.post(url_of(log, "finish/"), follow=True)
    assert "Log 26-7 is sawn: 1 slab, 22.0 bf." in answer.content.decode()
    assert Log.objects.get().state == LogState.SAWN


def test_the_kerf_of_the_log_is_kept_and_used(hand_client, log):
    hand_client.post(url_of(log), row())
    hand_client.post(url_of(log, "kerf/"), {"kerf_in": "1/4"})
    assert Log.objects.get().kerf_in == 0.25
    answer = hand_client.post(url_of(log, "kerf/"), {"kerf_in": "3"})
    assert "at most 1 in" in answer.content.decode()


def test_the_totals_run_along(hand_client, log):
    hand_client.post(url_of(log), row())
    page = hand_client.get(url_of(log)).content.decode()
    assert "22.0 bf" in page
    assert "This is rough" in page


def test_a_metric_person_types_and_sees_millimetres_centimetres_and_metres(client, log):
    client.force_login(make_person("hand", units="metric"), backend="django.contrib.auth.backends.ModelBackend")
    client.post(url_of(log), row(thickness_in="54", length_in="2.44", widths_in="45 42 38"))
    slab = Slab.objects.get()
    assert slab.thickness_in == pytest.approx(54 / 25.4)
    assert slab.length_in == pytest.approx(2.44 / 0.0254)
    assert slab.widths_in == pytest.approx([45 / 2.54, 42 / 2.54, 38 / 2.54])
    page = client.get(url_of(log)).content.decode()
    assert "45.0, 42.0, 38.0 cm" in page
    assert "54 mm" in page


def test_a_void_log_is_not_sawn(hand_client, log):
    Log.objects.filter(pk=log.pk).update(state=LogState.VOID)
    answer = hand_client.post(url_of(log), row())
    assert answer.status_code == 422
    assert "void" in answer.content.decode()
    assert not Slab.objects.exists()


def test_a_sawn_log_goes_back_on_the_mill_with_another_slab(hand_client, log):
    Log.objects.filter(pk=log.pk).update(state=LogState.SAWN)
    hand_client.post(url_of(log), row())
    assert Log.objects.get().state == LogState.ON_MILL


def test_thirty_rows_ask_no_more_of_the_database_than_three(hand_client, log, django_assert_num_queries):
    def add(count):
        for _ in range(count):
            saw_add(
                by=None, log=Log.objects.get(), client_key=uuid.uuid4(),
                fields={"kind": "board", "thickness_in": 1.125, "length_in": 96, "widths_in": [6.0]},
            )  # fmt: skip

    add(3)
    with django_assert_num_queries(6):
        hand_client.get(url_of(log))
    add(27)
    with django_assert_num_queries(6):
        hand_client.get(url_of(log))


def test_the_saw_opens_the_log_on_the_mill_or_asks_which(hand_client, log):
    assert "26-7" in hand_client.get("/saw/").content.decode()
    hand_client.post(url_of(log), row())
    assert hand_client.get("/saw/").headers["Location"] == url_of(log)
    assert hand_client.get("/saw/", {"choose": "yes"}).status_code == 200


def test_only_those_who_work_the_wood_saw(viewer_client, client, log):
    assert viewer_client.post(url_of(log), row()).status_code == 403
    assert viewer_client.get(url_of(log)).status_code == 403
    assert client.post(url_of(log), row()).status_code == 302
    assert not Slab.objects.exists()
