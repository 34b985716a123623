"""The yard as drawn: every bay where it lies, stacks in it, the same as a list, a fixed number of queries."""

import re
from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.make import BUILT_AT, make_bay, make_estimate, make_stack
from yard.services.yard_map import stacks_drawn_of_a_bay, yard_map

DAY = timedelta(days=1)


def inside(inner, outer):
    return (
        outer.x <= inner.x
        and inner.x + inner.width <= outer.x + outer.width
        and outer.y <= inner.y
        and inner.y + inner.height <= outer.y + outer.height
    )


def apart(one, other):
    return (
        one.x + one.width <= other.x
        or other.x + other.width <= one.x
        or one.y + one.height <= other.y
        or other.y + other.height <= one.y
    )


def test_stacks_are_drawn_inside_their_bay_and_apart_from_each_other(yard):
    for n, (count, width, height) in enumerate([(1, 3, 2), (2, 2, 2), (5, 6, 1), (12, 3, 3), (12, 12, 1), (7, 1, 4)]):
        bay = make_bay(map_x=0, map_y=5 * n, map_w=width, map_h=height)
        for _ in range(count):
            make_stack(bay=bay, slabs=1)
    tiles = yard_map().tiles
    for tile in tiles:
        assert len(tile.stacks) == min(tile.standing, stacks_drawn_of_a_bay(len(tiles)))
        for number, stack in enumerate(tile.stacks):
            assert stack.width > 0
            assert stack.height > 0
            assert inside(stack, tile)
            assert all(apart(stack, other) for other in tile.stacks[:number])


def test_a_bay_with_more_stacks_than_are_drawn_says_how_many_more(viewer_client, yard):
    bay = make_bay("Row A", places=20)
    most = stacks_drawn_of_a_bay(1)
    for n in range(most + 2):
        make_stack(f"S{n}", bay=bay, slabs=1, at=BUILT_AT + n * DAY)
    (tile,) = yard_map().tiles
    assert [stack.row.stack.tag for stack in tile.stacks] == [f"S{n}" for n in range(most)]
    assert "and 2 more" in viewer_client.get("/map/").content.decode()


def test_the_map_and_its_list_say_the_same_in_words_and_without_a_comma_in_a_number(viewer_client, yard):
    bay = make_bay("Row A", map_x=3, map_y=1, map_w=3, map_h=2)
    stack = make_stack("ST-7", bay=bay)
    make_estimate(stack.cohorts.get(), mean_pct=17.6, reached_now=0.9)
    page = viewer_client.get("/map/").content.decode()
    assert page.count(reverse("yard:stack-page", args=[stack.pk])) == 2
    assert ">✓ </tspan>18%" in page
    assert "17.6%" in page
    assert 'aria-label="Stack ST-7, Ready"' in page
    drawn = re.search(r"<svg class=\"yard-map\".*?</svg>\s*</div>", page, re.DOTALL).group()
    for attribute in re.findall(r' (?:x|y|width|height)="([^"]*)"', drawn):
        assert re.fullmatch(r"\d+(\.\d+)?%?", attribute)


def test_closed_bays_are_not_drawn_and_an_empty_yard_says_what_to_do(owner_client, yard):
    make_bay("Old row", closed_on="2025-01-01")
    page = owner_client.get("/map/").content.decode()
    assert "Old row" not in page
    assert "No bays yet." in page
    assert reverse("yard:bay-new") in page


def test_a_hand_can_move_a_stack_from_the_map_and_a_viewer_is_not_offered_it(hand_client, viewer_client, yard):
    stack = make_stack(bay=make_bay())
    move = reverse("yard:stack-move", args=[stack.pk]) + "?from=map"
    assert move in hand_client.get("/map/").content.decode()
    assert move not in viewer_client.get("/map/").content.decode()


def test_many_bays_and_stacks_take_no_more_queries_than_few(viewer_client, yard):
    counts = []
    for many in (1, 5):
        for _ in range(many):
            bay = make_bay()
            for _ in range(many):
                make_estimate(make_stack(bay=bay, slabs=1).cohorts.get(), mean_pct=20.0)
        with CaptureQueriesContext(connection) as queries:
            assert viewer_client.get("/map/").status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_stranger_is_asked_to_log_in(client, yard):
    assert "/login/" in client.get("/map/").url
