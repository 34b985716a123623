"""Which slabs dry alike, and which estimates are made again."""

from datetime import date, timedelta

import pytest

from tests.make import BUILT_AT, SAWN_ON, make_bay, make_slab, make_stack, make_yard
from yard.models import Cohort, Slab
from yard.services.cohorts import cohort_mark_stale
from yard.services.placement_check import placement_faults
from yard.services.stacks import stack_add_slabs, stack_move, stack_restack, stack_take_out

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _yard(db):
    make_yard(time_zone="UTC")
    yield
    assert placement_faults() == []


def slabs_of(stack):
    return [row.slab for row in stack.memberships.order_by("pk")]


def fresh(*cohorts):
    Cohort.objects.update(stale_since=None)
    return [cohort.pk for cohort in cohorts]


def stale():
    return set(Cohort.objects.filter(stale_since__isnull=False).values_list("pk", flat=True))


def test_species_thickness_and_saw_date_make_a_cohort():
    alike = [make_slab(), make_slab(thickness_in=2.15), make_slab(sawn_on=SAWN_ON - 7 * DAY)]
    others = [
        make_slab(species_key="walnut-black"),
        make_slab(thickness_in=1.0),
        make_slab(sawn_on=date(2025, 1, 1)),
    ]
    stack = make_stack(slabs=[*alike, *others])
    assert len({Slab.objects.get(pk=slab.pk).cohort_id for slab in alike}) == 1
    assert stack.cohorts.count() == 4


def test_a_cohort_starts_with_its_earliest_sawn_piece_and_is_as_thick_as_its_pieces_on_average():
    early, late = make_slab(sawn_on=SAWN_ON - 5 * DAY, thickness_in=2.07), make_slab(thickness_in=2.17)
    cohort = make_stack(slabs=[late, early]).cohorts.get()
    assert cohort.started_on == SAWN_ON - 5 * DAY
    assert cohort.thickness_in == pytest.approx(2.12)


def test_pieces_sawn_fifteen_days_apart_do_not_dry_alike():
    assert make_stack(slabs=[make_slab(), make_slab(sawn_on=SAWN_ON - 15 * DAY)]).cohorts.count() == 2
    assert make_stack(slabs=[make_slab(), make_slab(sawn_on=SAWN_ON - 14 * DAY)]).cohorts.count() == 1


def test_a_slab_added_later_joins_its_like_within_a_fortnight_and_starts_a_cohort_after():
    stack = make_stack(slabs=2)
    stack_add_slabs(stack=stack, slabs=[make_slab()], at=BUILT_AT + 14 * DAY, by=None)
    assert stack.cohorts.count() == 1
    stack_add_slabs(stack=stack, slabs=[make_slab()], at=BUILT_AT + 15 * DAY, by=None)
    assert stack.cohorts.count() == 2


def test_wood_of_different_pasts_makes_different_cohorts_in_a_new_stack():
    one, two = make_stack(slabs=2), make_stack(slabs=2)
    loose = make_slab()
    new = stack_restack(
        tag="N", slabs=[*slabs_of(one), *slabs_of(two), loose], bay=make_bay(), at=BUILT_AT + 9 * DAY, by=None
    )
    assert set(new.cohorts.values_list("came_from__stack", flat=True)) == {one.pk, two.pk, None}


def test_a_slab_back_within_a_fortnight_rejoins_its_cohort_and_later_starts_one_that_came_from_it():
    stack = make_stack(slabs=2)
    slab, cohort = slabs_of(stack)[0], stack.cohorts.get()
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + DAY, by=None)
    stack_add_slabs(stack=stack, slabs=[slab], at=BUILT_AT + 3 * DAY, by=None)
    assert Slab.objects.get(pk=slab.pk).cohort == cohort
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + 4 * DAY, by=None)
    stack_add_slabs(stack=stack, slabs=[slab], at=BUILT_AT + 40 * DAY, by=None)
    assert Slab.objects.get(pk=slab.pk).cohort.came_from == cohort


def test_a_cohort_whose_last_slab_left_opens_again_when_it_comes_back():
    stack = make_stack(slabs=1)
    slab, cohort = slabs_of(stack)[0], stack.cohorts.get()
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + DAY, by=None)
    cohort.refresh_from_db()
    assert cohort.left_at == BUILT_AT + DAY
    stack_add_slabs(stack=stack, slabs=[slab], at=BUILT_AT + 2 * DAY, by=None)
    cohort.refresh_from_db()
    assert cohort.left_at is None


def test_new_cohorts_and_those_whose_stack_moves_wait_for_an_estimate():
    stack, other = make_stack(), make_stack()
    assert stale() == {stack.cohorts.get().pk, other.cohorts.get().pk}
    fresh()
    stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + DAY, by=None)
    assert stale() == {stack.cohorts.get().pk}


def test_a_back_dated_move_reaches_wood_that_was_restacked_since():
    stack = make_stack(slabs=2)
    moved, _left = slabs_of(stack)
    new = stack_restack(tag="N", slabs=[moved], bay=make_bay(), at=BUILT_AT + 20 * DAY, by=None)
    old, young = stack.cohorts.get(), new.cohorts.get()
    fresh()
    stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + 10 * DAY, by=None)
    assert stale() == {old.pk, young.pk}


def test_marking_reaches_all_that_came_from_a_cohort_and_nothing_else():
    stack, bystander = make_stack(slabs=1), make_stack(slabs=1)
    chain = [stack.cohorts.get()]
    for n in range(1, 4):
        slab = Slab.objects.get(stack=chain[-1].stack)
        at = BUILT_AT + 20 * n * DAY
        chain.append(stack_restack(tag=f"N{n}", slabs=[slab], bay=make_bay(), at=at, by=None).cohorts.get())
    fresh()
    assert cohort_mark_stale(cohort_ids=[chain[1].pk]) == 3
    assert stale() == {cohort.pk for cohort in chain[1:]}
    assert bystander.cohorts.get().stale_since is None


def test_marking_again_moves_the_moment_on_so_that_a_recompute_under_way_is_not_taken_for_newer():
    cohort = make_stack().cohorts.get()
    seen = cohort.stale_since
    cohort_mark_stale(cohort_ids=[cohort.pk])
    cohort.refresh_from_db()
    assert cohort.stale_since > seen
