"""The database itself refuses a slab in two stacks and a stack in two bays, whoever writes, now or back in time.

The constraints of the open interval stand in the models; overlaps of the past are refused by exclusion constraints
on PostgreSQL and by triggers on SQLite. A table that Django remakes on SQLite loses its triggers, so these tests
run against the tables as they are after all migrations.
"""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from tests.make import BUILT_AT, make_bay, make_slab, make_stack, make_yard
from yard.models import Membership, Stack, Stay
from yard.services.stacks import stack_move, stack_take_out

DAY = timedelta(days=1)
OVERLAP_RULES = {
    "slab_in_one_stack_ever": "yard_membership",
    "stack_in_one_bay_ever": "yard_stay",
}


@pytest.fixture(autouse=True)
def _yard(db):
    make_yard(time_zone="UTC")


def days(first, last):
    return {"since": BUILT_AT + first * DAY, "until": None if last is None else BUILT_AT + last * DAY}


@pytest.fixture
def put_slab():
    """Writes a membership of one slab in another stack each time, past the services."""
    slab = make_slab()

    def put(first, last):
        stack = make_stack(slabs=1)
        return Membership.objects.create(slab=slab, stack=stack, cohort=stack.cohorts.get(), **days(first, last))

    return put


@pytest.fixture
def put_stack():
    """Writes a stay of one stack, built on day 0 and taken away on day 10, past the services."""
    stack = make_stack(slabs=1)
    Stay.objects.filter(stack=stack).update(until=BUILT_AT)

    def put(first, last):
        return Stay.objects.create(stack=stack, bay=make_bay(), **days(first, last))

    return put


@pytest.fixture(params=["slab", "stack"])
def put(request):
    return request.getfixturevalue(f"put_{request.param}")


OVERLAPPING = [(0, 10), (-5, 1), (9, 12), (2, 3), (-1, 11), (-1, None), (5, None), (0, 1), (9, 10)]
APART = [(-5, 0), (10, 12), (10, None), (5, 5), (0, 0), (10, 10)]


@pytest.mark.parametrize("span", OVERLAPPING)
def test_a_second_place_over_any_part_of_the_same_time_is_refused(put, span):
    put(0, 10)
    with pytest.raises(IntegrityError), transaction.atomic():
        put(*span)


@pytest.mark.parametrize("span", APART)
def test_places_one_after_the_other_and_empty_moments_are_kept(put, span):
    put(0, 10)
    assert put(*span).pk


def test_two_open_places_are_refused_even_when_they_begin_at_different_times(put):
    put(0, None)
    with pytest.raises(IntegrityError), transaction.atomic():
        put(20, None)


def test_an_edit_that_would_make_places_overlap_is_refused(put):
    put(0, 10)
    later = put(10, 20)
    for change in ({"since": BUILT_AT + 9 * DAY}, {"since": BUILT_AT - DAY}):
        with pytest.raises(IntegrityError), transaction.atomic():
            type(later).objects.filter(pk=later.pk).update(**change)
    first_again = type(later).objects.filter(pk=later.pk)
    assert first_again.update(until=BUILT_AT + 30 * DAY) == 1


def test_an_interval_cannot_end_before_it_begins(put):
    with pytest.raises(IntegrityError), transaction.atomic():
        put(10, 9)


def test_the_overlap_rules_are_there_after_all_migrations():
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT conname, conrelid::regclass::text FROM pg_constraint WHERE contype = 'x'")
            assert OVERLAP_RULES.items() <= dict(cursor.fetchall()).items()
            return
        cursor.execute("SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'")
        triggers = dict(cursor.fetchall())
    for name, table in OVERLAP_RULES.items():
        assert triggers.get(f"{name}_insert") == table, "a table was remade: create its triggers again"
        assert triggers.get(f"{name}_update") == table, "a table was remade: create its triggers again"


def test_a_refusal_of_the_database_is_told_in_words_that_name_where_the_slab_is(monkeypatch):
    slab = make_slab("K-1")
    make_stack("ST-1", slabs=[slab], bay=make_bay("Row A"))
    monkeypatch.setattr("yard.services.memberships._check_can_join", lambda slabs, at: None)
    for at in (BUILT_AT + DAY, BUILT_AT - DAY):
        with pytest.raises(ValidationError) as error:
            make_stack("ST-2", slabs=[slab], at=at)
        assert "K-1 is in ST-1 (Row A)" in error.value.message_dict["slabs"][0]
    assert Stack.objects.count() == 1


def test_a_refusal_over_a_past_stay_is_told_in_words(monkeypatch):
    slab = make_slab("K-2")
    stack = make_stack("ST-1", slabs=[slab])
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + 9 * DAY, by=None)
    monkeypatch.setattr("yard.services.memberships._check_can_join", lambda slabs, at: None)
    with pytest.raises(ValidationError) as error:
        make_stack("ST-2", slabs=[slab], at=BUILT_AT + 3 * DAY)
    assert "K-2 was in ST-1 until 19 Mar 2025 15:00" in error.value.message_dict["slabs"][0]


def test_a_second_bay_refused_by_the_database_is_told_in_words(monkeypatch):
    stack = make_stack("ST-1", bay=make_bay("Row A"))
    monkeypatch.setattr("yard.services.stays.stay_close", lambda stack, at: None)
    with pytest.raises(ValidationError) as error:
        stack_move(stack=stack, bay=make_bay("Row B"), at=BUILT_AT + DAY, by=None)
    assert "ST-1 stands in Row A since" in error.value.message_dict["bay"][0]
