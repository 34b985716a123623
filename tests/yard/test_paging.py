"""Pages of a list that nobody counts."""

import pytest

from yard.models import History
from yard.paging import page_of
from yard.services.history import history_add


@pytest.fixture
def rows(yard):
    for number in range(5):
        history_add(yard, by=None, action=str(number))
    return History.objects.order_by("id")


def asked(rf, number):
    return rf.get("/", {"page": number})


def test_pages_follow_each_other_without_gaps(rf, rows):
    pages = [page_of(rows, asked(rf, number), 2) for number in (1, 2, 3)]
    assert [[row.action for row in page] for page in pages] == [["0", "1"], ["2", "3"], ["4"]]
    assert [(page.has_previous, page.has_next) for page in pages] == [(False, True), (True, True), (True, False)]


def test_one_page_takes_one_query_and_no_count(rf, rows, django_assert_num_queries):
    with django_assert_num_queries(1) as queries:
        page_of(rows, asked(rf, 1), 2)
    assert "COUNT" not in queries[0]["sql"].upper()


@pytest.mark.parametrize("typed", ["", "0", "-1", "x", "1.5", "²"])
def test_page_that_is_no_number_is_the_first(rf, rows, typed):
    assert page_of(rows, asked(rf, typed), 2).number == 1


def test_page_far_beyond_the_end_is_empty(rf, rows):
    page = page_of(rows, asked(rf, "99999999999"), 2)
    assert list(page) == []
    assert not page.has_next
