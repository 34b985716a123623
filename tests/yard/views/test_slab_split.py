"""Splitting a lot or a slab."""

import pytest

from tests.make import make_slab, make_stack
from yard.models import Slab


def url(slab):
    return f"/slabs/{slab.pk}/split/"


def rows(*pieces, version=1, **more):
    data = {"version": version, "form-TOTAL_FORMS": len(pieces), "form-INITIAL_FORMS": 0}
    for number, piece in enumerate(pieces):
        filled = {"count": 1, "thickness_in": "2", "length_in": "4", "widths_in": ""} | piece
        data |= {f"form-{number}-{name}": value for name, value in filled.items()}
    return data | more


def test_a_slab_is_crosscut_into_two_with_tags_of_their_own(hand_client, yard):
    slab = make_slab("A", widths_in=[12.0])
    answer = hand_client.post(url(slab), rows({"widths_in": "12"}, {"widths_in": "11", "tag": "Top"}, {}))
    assert answer.status_code == 302
    assert sorted(Slab.objects.filter(split_from=slab).values_list("tag", flat=True)) == ["Aa", "Top"]
    assert Slab.objects.get(pk=slab.pk).state == "split"


def test_a_lot_opens_with_its_tally_and_is_split_by_rows(hand_client, yard):
    tally = [{"width_in": 6.0, "length_in": 96.0, "count": 10}, {"width_in": 8.0, "length_in": 96.0, "count": 4}]
    lot = make_slab("L", kind="lot", widths_in=[], tally=tally, thickness_in=1.125, quarters=4)
    page = hand_client.get(url(lot)).content.decode()
    assert 'value="10"' in page
    assert 'value="4"' in page
    hand_client.post(
        url(lot),
        rows(
            {"count": 10, "widths_in": "6", "length_in": "8", "thickness_in": "1 1/8"},
            {"count": 1, "widths_in": "8", "length_in": "8", "thickness_in": "1 1/8"},
        ),
    )
    part, board = Slab.objects.filter(split_from=lot).order_by("id")
    assert (part.kind, part.count, part.green_bf) == ("lot", 10, pytest.approx(40))
    assert (board.kind, board.count, board.quarters) == ("board", 1, 4)


def test_another_row_keeps_what_was_typed(hand_client, yard):
    slab = make_slab(widths_in=[12.0])
    answer = hand_client.post(url(slab), rows({"widths_in": "7 3/8", "grade": "FAS"}, more="yes"))
    page = answer.content.decode()
    assert 'value="7 3/8"' in page
    assert 'value="FAS"' in page
    assert 'name="form-1-widths_in"' in page
    assert Slab.objects.get(pk=slab.pk).state == "sawn"


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        ([{}], "at least one piece"),
        ([{"widths_in": "wide"}], "Not yet"),
        ([{"widths_in": "12", "length_in": "60"}], "hold"),
        ([{"widths_in": "5; 6", "count": 3}], "one width"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_split(hand_client, yard, pieces, words):
    slab = make_slab(widths_in=[12.0])
    answer = hand_client.post(url(slab), rows(*pieces))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Slab.objects.get(pk=slab.pk).state == "sawn"
    assert Slab.objects.count() == 1


def test_a_piece_in_a_stack_is_taken_off_first(hand_client, yard):
    slab = make_slab(widths_in=[12.0])
    make_stack(slabs=[slab])
    slab.refresh_from_db()
    answer = hand_client.post(url(slab), rows({"widths_in": "12"}, version=slab.version))
    assert answer.status_code == 422
    assert "take it off its stack" in answer.content.decode()


def test_viewers_split_nothing(viewer_client, yard):
    assert viewer_client.post(url(make_slab()), rows({"widths_in": "5"})).status_code == 403
