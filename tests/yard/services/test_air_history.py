"""Where the wood of a cohort has been: bays one after the other, through restacking."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.make import BUILT_AT, SAWN_ON, make_bay, make_stack, make_yard
from yard.models import Cohort, Slab
from yard.services.air_history import air_histories, air_history, cohort_chain
from yard.services.stacks import stack_move, stack_restack, stack_take_down, stack_take_out

DAY = timedelta(days=1)
SAWN_AT = datetime(SAWN_ON.year, SAWN_ON.month, SAWN_ON.day, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _yard(db):
    make_yard(time_zone="UTC")


def told(cohort):
    spans = air_history(Cohort.objects.get(pk=cohort.pk))
    for before, after in pairwise(spans):
        assert before.until == after.since
    return [(span.bay.name if span.bay else None, span.since, span.until) for span in spans]


def test_wood_lies_loose_from_the_saw_until_it_is_stacked_then_follows_its_stack():
    stack = make_stack(bay=make_bay("Row"))
    stack_move(stack=stack, bay=make_bay("Shed"), at=BUILT_AT + 50 * DAY, by=None)
    assert told(stack.cohorts.get()) == [
        (None, SAWN_AT, BUILT_AT),
        ("Row", BUILT_AT, BUILT_AT + 50 * DAY),
        ("Shed", BUILT_AT + 50 * DAY, None),
    ]


def test_restacked_wood_keeps_the_air_of_its_first_stack_and_not_what_that_stack_met_later():
    old = make_stack(slabs=3, bay=make_bay("Row"))
    some = list(Slab.objects.filter(stack=old))[:2]
    new = stack_restack(tag="N", slabs=some, bay=make_bay("Shed"), at=BUILT_AT + 30 * DAY, by=None)
    stack_move(stack=old, bay=make_bay("Kiln", "kiln"), at=BUILT_AT + 60 * DAY, by=None)
    stack_move(stack=new, bay=make_bay("Store"), at=BUILT_AT + 90 * DAY, by=None)
    assert told(new.cohorts.get()) == [
        (None, SAWN_AT, BUILT_AT),
        ("Row", BUILT_AT, BUILT_AT + 30 * DAY),
        ("Shed", BUILT_AT + 30 * DAY, BUILT_AT + 90 * DAY),
        ("Store", BUILT_AT + 90 * DAY, None),
    ]
    assert told(old.cohorts.get())[-1] == ("Kiln", BUILT_AT + 60 * DAY, None)


def test_wood_taken_out_and_stacked_again_months_later_lay_loose_between():
    old = make_stack(slabs=2, bay=make_bay("Row"))
    slabs = list(Slab.objects.filter(stack=old))
    stack_take_out(stack=old, slabs=slabs, at=BUILT_AT + 10 * DAY, by=None)
    new = stack_restack(tag="N", slabs=slabs, bay=make_bay("Shed"), at=BUILT_AT + 70 * DAY, by=None)
    assert told(new.cohorts.get()) == [
        (None, SAWN_AT, BUILT_AT),
        ("Row", BUILT_AT, BUILT_AT + 10 * DAY),
        (None, BUILT_AT + 10 * DAY, BUILT_AT + 70 * DAY),
        ("Shed", BUILT_AT + 70 * DAY, None),
    ]


def test_wood_of_a_stack_taken_down_lies_loose_since():
    stack = make_stack(bay=make_bay("Row"))
    stack_take_down(stack=stack, at=BUILT_AT + 5 * DAY, by=None)
    assert told(stack.cohorts.get()) == [
        (None, SAWN_AT, BUILT_AT),
        ("Row", BUILT_AT, BUILT_AT + 5 * DAY),
        (None, BUILT_AT + 5 * DAY, None),
    ]


def test_the_observations_of_a_span_are_those_of_the_cohort_named_in_it():
    old = make_stack(slabs=1)
    new = stack_restack(tag="N", slabs=list(Slab.objects.filter(stack=old)), bay=make_bay(), at=BUILT_AT + DAY, by=None)
    before, after = old.cohorts.get(), new.cohorts.get()
    assert cohort_chain(after) == [before, after]
    assert [span.cohort for span in air_history(after)] == [before, before, after]


def test_many_cohorts_take_no_more_queries_than_one():
    stacks = [make_stack(slabs=1) for _ in range(6)]
    for n, stack in enumerate(stacks):
        slabs = list(Slab.objects.filter(stack=stack))
        stack_restack(tag=f"N{n}", slabs=slabs, bay=make_bay(), at=BUILT_AT + DAY, by=None)
    young = list(Cohort.objects.filter(came_from__isnull=False).order_by("pk"))
    assert len(young) == 6
    counts = []
    for some in (young[:1], young):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert len(air_histories(some)) == len(some)
        counts.append(len(queries))
    assert counts[0] == counts[1]
