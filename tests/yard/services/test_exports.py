"""Lists as CSV: one query, harmless in a spreadsheet, readable where commas are decimal marks."""

import csv
import io
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from tests.make import make_slab
from yard.models import Slab
from yard.services.exports import COMMA, PLAIN, SEMICOLON, Column, cell, csv_rows, neutralised, un_neutralised

COLUMNS = (Column("tag", "tag"), Column("length (ft)", "length_in", lambda value: value / 12), Column("note", "note"))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "  =1", "\r=1"])
def test_text_that_a_spreadsheet_would_run_is_made_harmless_and_comes_back(text):
    assert neutralised(text) == f"'{text}"
    assert un_neutralised(neutralised(text)) == text


@pytest.mark.parametrize("text", ["", "WO-12-3", "'58 oak", "a=1", "12 - 14 in"])
def test_harmless_text_stays_as_it_is(text):
    assert neutralised(text) == text
    assert un_neutralised(text) == text


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (None, ""),
        (True, "yes"),
        (-2.5, "-2.5"),
        (0.1 + 0.2, "0.3"),
        (1e-9, "0"),
        (Decimal("1240.50"), "1240.50"),
        (date(2025, 3, 14), "2025-03-14"),
        (datetime(2025, 3, 14, 15, 30, tzinfo=UTC), "2025-03-14 15:30"),
    ],
)
def test_values_are_written_so_that_a_spreadsheet_reads_them_as_what_they_are(value, written):
    assert cell(value) == written


def test_decimal_commas_go_with_semicolons():
    assert cell(2.5, SEMICOLON) == "2,5"
    assert cell("2.5 and more", SEMICOLON) == "2.5 and more"


@pytest.mark.django_db
@pytest.mark.parametrize("slabs", [0, 3, 30])
def test_a_list_of_any_length_takes_one_query(django_assert_num_queries, slabs):
    for number in range(slabs):
        make_slab(f"T{number:02}", note="=HYPERLINK()")
    with django_assert_num_queries(1):
        text = b"".join(csv_rows(Slab.objects.order_by("tag"), COLUMNS, PLAIN)).decode()
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[0] == ["tag", "length (ft)", "note"]
    assert len(rows) == slabs + 1
    assert all(row[1:] == ["8", "'=HYPERLINK()"] for row in rows[1:])


@pytest.mark.django_db
def test_the_mark_that_says_utf_8_comes_first_where_it_is_wanted():
    assert b"".join(csv_rows(Slab.objects.all(), COLUMNS, COMMA)).startswith(b"\xef\xbb\xbftag,")
    assert b"".join(csv_rows(Slab.objects.all(), COLUMNS, SEMICOLON)).startswith(b"\xef\xbb\xbftag;")
