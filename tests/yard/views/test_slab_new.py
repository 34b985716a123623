"""Bought-in wood without a log."""

import uuid

import pytest

from yard.models import Slab

URL = "/slabs/new/"


def board(**changes):
    return {
        "client_key": str(uuid.uuid4()), "kind": "board", "species_key": "white oak", "thickness_in": "8/4",
        "length_in": "8", "widths_in": "9 1/2", "sawn_on": "2025-03-03", "area_rule": "trapezoid",
    } | changes  # fmt: skip


def test_a_board_is_added_with_the_next_free_tag_and_its_footage(hand_client, yard):
    answer = hand_client.post(URL, board())
    slab = Slab.objects.get()
    assert answer["Location"] == f"/slabs/{slab.pk}/"
    assert (slab.tag, slab.species_key, slab.quarters, slab.log) == ("S-1", "oak-white", 8, None)
    assert slab.green_bf == pytest.approx(2 * 9.5 * 8 / 12)


def test_the_same_form_sent_twice_is_one_slab(hand_client, yard):
    data = board()
    hand_client.post(URL, data)
    hand_client.post(URL, data)
    assert Slab.objects.count() == 1


def test_wood_that_is_dry_already_comes_with_its_mc(hand_client, yard):
    hand_client.post(URL, board(dry_mc_pct="8,5", dry_on="2026-01-10"))
    slab = Slab.objects.get()
    assert (slab.state, slab.dry_mc_pct, str(slab.dry_on)) == ("dry", 8.5, "2026-01-10")
    assert slab.net_bf < slab.green_bf


def test_a_lot_is_tallied(hand_client, yard):
    hand_client.post(URL, board(kind="lot", tally="6 6 8x3", thickness_in="1"))
    assert Slab.objects.get().count == 5


def test_another_keeps_what_mostly_stays_the_same(hand_client, yard):
    answer = hand_client.post(URL, board(another="yes"), follow=True)
    page = answer.content.decode()
    assert 'value="white oak"' in page
    assert 'value="9 1/2"' not in page


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"species_key": ""}, "species_key"),
        ({"species_key": "oak"}, "species_key"),
        ({"widths_in": ""}, "widths_in"),
        ({"kind": "lot", "tally": ""}, "tally"),
        ({"dry_mc_pct": "8"}, "dry_on"),
        ({"dry_on": "2026-01-10"}, "dry_mc_pct"),
        ({"dry_mc_pct": "60", "dry_on": "2026-01-10"}, "dry_mc_pct"),
        ({"dry_mc_pct": "8", "dry_on": "2025-01-01"}, "dry_on"),
        ({"length_in": "0"}, "length_in"),
    ],
)
def test_what_is_missing_or_cannot_be_is_said_beside_its_field(hand_client, yard, typed, field):
    answer = hand_client.post(URL, board(note="typed", **typed))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert 'value="typed"' in answer.content.decode()
    assert not Slab.objects.exists()


def test_viewers_add_nothing(viewer_client, yard):
    assert viewer_client.post(URL, board()).status_code == 403
