"""The page of a slab: its sizes with their working, its life, its neighbours, what may be done with it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.make import BUILT_AT, make_bay, make_log, make_slab, make_stack
from yard.models import Contact
from yard.services.dry_slabs import slabs_call_dry
from yard.services.slabs import slab_split, slab_void
from yard.services.stacks import stack_move


def url(slab):
    return f"/slabs/{slab.pk}/"


def page_of(client, slab):
    return " ".join(client.get(url(slab)).content.decode().split())


def test_the_published_widths_show_the_published_area_and_its_working(viewer_client, yard):
    # 18, 16.5, 15, 16, 19 in at 24 in stations are 1,584 in2 by the trapezoid rule: 22 bf of 8/4.
    page = page_of(viewer_client, make_slab())
    assert "1,584 in²" in page
    assert "22 bf" in page
    assert "Show the working" in page
    assert "step × (half the first + the ones between + half the last)" in page


def test_a_piece_shows_what_lay_beside_it_in_the_log_and_its_set(viewer_client, yard):
    log = make_log(tag="26-7", small_end_in=24, large_end_in=26)
    before, slab, after = (make_slab(f"P{n}", log=log, matched_set="M1") for n in (1, 2, 3))
    page = page_of(viewer_client, slab)
    assert f'rel="prev" href="/slabs/{before.pk}/"' in page
    assert f'rel="next" href="/slabs/{after.pk}/"' in page
    assert "Matched set M1" in page
    assert "First of the log" in page_of(viewer_client, before)
    assert "Last of the log" in page_of(viewer_client, after)


def test_a_void_piece_is_nobodys_neighbour(viewer_client, yard):
    log = make_log(tag="26-7", small_end_in=24, large_end_in=26)
    first, second, third = (make_slab(f"P{n}", log=log) for n in (1, 2, 3))
    slab_void(by=None, slab=second, reason="twice")
    assert f'rel="next" href="/slabs/{third.pk}/"' in page_of(viewer_client, first)


def test_its_life_names_stacks_moves_and_the_day_it_was_dry(viewer_client, yard):
    slab = make_slab("A", ends_sealed_on=date(2025, 3, 4))
    stack = make_stack("ST-1", slabs=[slab], bay=make_bay("North row"))
    stack_move(stack=stack, bay=make_bay("Shed", kind="shed"), at=BUILT_AT + timedelta(days=40), by=None)
    answer = viewer_client.get(url(slab))
    assert [event.words for event in answer.context["life"]] == [
        "Sawn elsewhere, bought in",
        "Ends sealed",
        "Into stack ST-1, course 1 in North row",
        "Stack ST-1 moved to Shed",
    ]
    assert "Stack ST-1</a>, Shed" in " ".join(answer.content.decode().split())


def test_dry_sizes_follow_from_shrinkage_until_they_are_measured(viewer_client, yard):
    # White ash shrinks 7.8% of its width tangentially from green to oven-dry (Wood Handbook Table 4-3), with
    # fibre saturation at 30%: at 8% a 10 in board of 10 bf keeps 10 x (1 - 0.078 x 22/30).
    slab = make_slab(species_key="ash-white", widths_in=[10.0], length_in=72.0)
    answer = viewer_client.get(url(slab))
    assert answer.context["dry"].net_bf == pytest.approx(10 * (1 - 0.078 * 22 / 30), rel=1e-3)
    assert "by shrinkage at 8%" in answer.content.decode() or "by shrinkage at 8.0%" in answer.content.decode()
    (dry,) = slabs_call_dry(slabs=[slab], mc_pct=12.0, on=date(2026, 3, 1), by=None)
    page = page_of(viewer_client, dry)
    assert "measured when dry" in page
    assert "12" in page


def test_green_wood_that_lies_loose_is_warned_about_and_can_be_stacked(hand_client, viewer_client, yard):
    slab = make_slab()
    page = page_of(hand_client, slab)
    assert "not stickered" in page
    assert f'href="/stacks/build/?slab={slab.pk}"' in page
    assert "/edit/" not in page_of(viewer_client, slab)


def test_other_peoples_wood_and_a_price_of_its_own_are_said(viewer_client, yard):
    ida = Contact.objects.create(name="Ida", is_owner=True)
    assert "never for sale" in page_of(viewer_client, make_slab(owner=ida))
    assert "$240.00" in page_of(viewer_client, make_slab(price=Decimal(240)))


def test_a_split_piece_names_what_became_of_it(viewer_client, yard):
    from yard.services.slabs import Piece

    slab = make_slab(widths_in=[12.0])
    pieces = [Piece(thickness_in=2.125, length_in=40.0, widths_in=(12.0,)) for _ in range(2)]
    children = slab_split(by=None, slab=slab, pieces=pieces)
    page = page_of(viewer_client, slab)
    assert all(f'href="/slabs/{child.pk}/"' in page for child in children)
    assert "Split from" in page_of(viewer_client, children[0])


def test_the_page_takes_the_same_queries_however_long_its_life(viewer_client, yard):
    slab = make_slab("A")
    make_stack("ST-1", slabs=[slab, make_slab()])
    with CaptureQueriesContext(connection) as few:
        viewer_client.get(url(slab))
    stack = slab.memberships.get().stack
    for days in range(1, 20):
        stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + timedelta(days=days), by=None)
    with CaptureQueriesContext(connection) as more:
        viewer_client.get(url(slab))
    assert len(more) == len(few)


def test_strangers_are_asked_to_log_in(client, yard):
    assert client.get(url(make_slab())).status_code == 302
