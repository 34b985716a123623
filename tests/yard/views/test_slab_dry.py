"""The dry tally: measured sizes, or those that follow from shrinkage."""

import pytest

from tests.make import make_slab
from yard.models import Slab


def url(slab):
    return f"/slabs/{slab.pk}/dry/"


@pytest.fixture
def board(yard):
    return make_slab(species_key="ash-white", widths_in=[10.0], length_in=72.0)


def test_an_mc_alone_calls_it_dry_with_the_net_tally_by_shrinkage(hand_client, board):
    answer = hand_client.post(url(board), {"version": 1, "dry_mc_pct": "8", "dry_on": "2026-03-01"})
    assert answer.status_code == 302
    dry = Slab.objects.get(pk=board.pk)
    assert (dry.state, dry.dry_mc_pct) == ("dry", 8)
    assert dry.net_bf == pytest.approx(10 * (1 - 0.078 * 22 / 30), rel=1e-3)  # Wood Handbook Table 4-3, Eq. 4-7


def test_measured_sizes_make_the_net_tally_and_the_page_shows_their_working(hand_client, board):
    data = {"version": 1, "dry_mc_pct": "8", "dry_on": "2026-03-01", "dry_widths_in": "9 1/2", "dry_length_in": "6"}
    hand_client.post(url(board), data | {"dry_thickness_in": "2"})
    dry = Slab.objects.get(pk=board.pk)
    assert dry.net_bf == pytest.approx(9.5)  # 2 in x 9.5 in x 6 ft / 12
    page = " ".join(hand_client.get(f"/slabs/{board.pk}/").content.decode().split())
    assert "9.5 bf net" in page
    assert "Dry, measured" in page


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"dry_mc_pct": ""}, "dry_mc_pct"),
        ({"dry_mc_pct": "60"}, "dry_mc_pct"),
        ({"dry_on": "2099-01-01"}, "dry_on"),
        ({"dry_on": "2020-01-01"}, "dry_on"),
        ({"dry_widths_in": "11"}, "dry_widths_in"),
        ({"dry_thickness_in": "3"}, "dry_thickness_in"),
        ({"dry_length_in": "9"}, "dry_length_in"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_is_saved(hand_client, board, typed, field):
    data = {"version": 1, "dry_mc_pct": "8", "dry_on": "2026-03-01"} | typed
    answer = hand_client.post(url(board), data)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert Slab.objects.get(pk=board.pk).state == "sawn"


def test_somebody_else_was_faster(hand_client, board):
    Slab.objects.filter(pk=board.pk).update(version=2)
    answer = hand_client.post(url(board), {"version": 1, "dry_mc_pct": "8", "dry_on": "2026-03-01"})
    assert answer.status_code == 409
    assert 'value="8"' in answer.content.decode()
    assert Slab.objects.get(pk=board.pk).dry_on is None


def test_viewers_call_nothing_dry(viewer_client, board):
    assert viewer_client.post(url(board), {"version": 1, "dry_mc_pct": "8"}).status_code == 403
