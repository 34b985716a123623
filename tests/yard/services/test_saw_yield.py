"""Recovery against the scale, and the rough rest on the mill."""

import pytest

from tests.make import make_log, make_slab
from yard.services.saw_yield import saw_yield, slabs_of_log
from yard.services.slabs import Piece, slab_split, slab_void

pytestmark = pytest.mark.django_db


def the_yield(log):
    return saw_yield(log, list(slabs_of_log(log)))


def test_nothing_sawn_leaves_the_whole_log_and_no_recovery():
    left = the_yield(make_log(small_end_in=16, large_end_in=16, length_ft=8))
    assert left.recovery_pct is None
    assert left.left.left_pct == pytest.approx(100)
    assert left.left.depth_in == pytest.approx(16)


def test_footage_over_the_scale_is_an_overrun():
    log = make_log(small_end_in=12, large_end_in=14, length_ft=8, rule="doyle")  # 32 bf
    for _ in range(3):
        make_slab(log=log, widths_in=[10.0], length_in=96, thickness_in=2.125, quarters=8)  # 13 1/3 bf each
    found = the_yield(log)
    assert found.sawn_bf == pytest.approx(40)
    assert found.scale_bf == 32
    assert found.over_pct == pytest.approx(25)
    assert found.recovery_pct == pytest.approx(125)


def test_what_was_sawn_with_its_kerf_is_taken_off_the_logs_volume():
    log = make_log(small_end_in=24, large_end_in=24, length_ft=8, kerf_in=0.25)
    make_slab(log=log, widths_in=[18, 16.5, 15, 16, 19], length_in=96, thickness_in=2.0, quarters=8)
    left = the_yield(log).left
    assert left.log_ft3 == pytest.approx(3.14159265 * 8)
    assert left.taken_ft3 == pytest.approx(1584 * 2.25 / 1728)
    assert left.left_ft3 == pytest.approx(left.log_ft3 - left.taken_ft3)
    assert not left.kerf_is_usual


def test_slabs_that_hold_more_than_the_log_say_so():
    log = make_log(small_end_in=10, large_end_in=12, length_ft=8)
    for _ in range(9):
        make_slab(log=log, widths_in=[11.0], length_in=96, thickness_in=2.125)
    left = the_yield(log).left
    assert left.more_than_log
    assert (left.left_ft3, left.depth_in) == (0, 0)


def test_a_void_slab_is_not_counted_and_a_split_one_once():
    log = make_log()
    make_slab(log=log, widths_in=[12.0])
    slab_void(by=None, slab=make_slab(log=log, widths_in=[12.0]), reason="twice")
    before = the_yield(log)
    slab_split(by=None, slab=log.slabs.first(), pieces=[Piece(thickness_in=2.125, length_in=48, widths_in=(12,))])
    after = the_yield(log)
    assert (before.slabs, before.sawn_bf) == (after.slabs, after.sawn_bf) == (1, pytest.approx(16))


def test_a_log_without_a_figure_by_its_rule_has_no_recovery():
    log = make_log(small_end_in=3, large_end_in=3.5, length_ft=8)
    make_slab(log=log, widths_in=[3.0], thickness_in=1.125)
    assert the_yield(log).scale_bf is None
    assert the_yield(log).recovery_pct is None
