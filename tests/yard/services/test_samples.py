"""Samples: one a slab, following its wood, begun anew where a piece is cut off."""

from datetime import timedelta

import pytest

from tests.make import BUILT_AT, make_bay, make_slab, make_stack
from yard.models import Sample
from yard.services.refused import Refused
from yard.services.samples import (
    NotStackedError,
    sample_add,
    sample_follow,
    sample_of_slab,
    sample_recut,
    sample_retire,
)
from yard.services.stacks import stack_restack

pytestmark = pytest.mark.usefixtures("yard")


def test_a_slab_weighed_for_the_first_time_becomes_a_sample_and_stays_the_same_one():
    slab = make_stack().slabs_now.first()
    first, again = sample_of_slab(slab=slab), sample_of_slab(slab=slab)
    assert first == again
    assert (first.name, first.cohort_id) == (slab.tag, slab.cohort_id)


def test_a_slab_that_was_never_stacked_is_refused_in_words():
    with pytest.raises(NotStackedError, match="in no stack yet"):
        sample_of_slab(slab=make_slab())


def test_two_samples_of_one_stack_cannot_have_the_same_name():
    cohort = make_stack().cohorts.get()
    sample_add(cohort=cohort, name="East end")
    with pytest.raises(Refused, match="has a sample EAST END already"):
        sample_add(cohort=cohort, name="EAST END")
    with pytest.raises(Refused, match="Give the sample a name"):
        sample_add(cohort=cohort, name="  ")
    sample_add(cohort=make_stack().cohorts.get(), name="East end")


def test_a_sample_follows_its_slab_into_the_next_stack_and_a_cut_board_its_only_next_cohort():
    stack = make_stack()
    slabs = list(stack.slabs_now.all())
    of_slab, cut = sample_of_slab(slab=slabs[0]), sample_add(cohort=stack.cohorts.get(), name="Cut board")
    new = stack_restack(tag="ST-NEW", slabs=slabs, bay=make_bay(), at=BUILT_AT + timedelta(days=9), by=None)
    for sample in (of_slab, cut):
        assert sample_follow(sample=Sample.objects.get(pk=sample.pk)).cohort == new.cohorts.get()


def test_a_cut_board_stays_where_its_wood_went_two_ways():
    stack = make_stack()
    slabs = list(stack.slabs_now.all())
    cut = sample_add(cohort=stack.cohorts.get(), name="Cut board")
    for number in (0, 1):
        half = slabs[number * 2 : number * 2 + 2]
        stack_restack(tag=f"ST-H{number}", slabs=half, bay=make_bay(), at=BUILT_AT + timedelta(days=9), by=None)
    assert sample_follow(sample=Sample.objects.get(pk=cut.pk)).cohort == cut.cohort


def test_a_retired_sample_makes_room_for_a_new_one_of_its_slab():
    slab = make_stack().slabs_now.first()
    old = sample_of_slab(slab=slab)
    sample_retire(sample=old, by=None)
    assert sample_of_slab(slab=slab) != old


def test_a_sample_cut_again_begins_anew_under_the_same_label():
    old = sample_of_slab(slab=make_stack().slabs_now.first())
    code = old.code
    fresh = sample_recut(sample=old, by=None)
    assert (fresh.code, fresh.name, fresh.slab) == (code, old.name, old.slab)
    assert Sample.objects.get(code=code) == fresh
    assert Sample.objects.get(pk=old.pk).retired_at is not None
