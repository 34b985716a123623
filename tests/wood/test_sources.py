"""The list of sources and the page about it say the same."""

from pathlib import Path

import pytest

from yard.wood.sources import all_sources, source

PAGE = Path(__file__).parents[2] / "yard" / "wood" / "SOURCES.md"
KNOWN = ("read", "memory", "computed", "inferred", "common practice", "common knowledge")


def _expected_line(row):
    return f"- `{row.key}`: {row.text}. Provenance: {row.provenance}."


def test_the_page_has_one_line_for_every_source_and_no_other():
    lines = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("- `")]
    expected = [_expected_line(row) for row in all_sources()]
    missing = "\n".join(sorted(set(expected) - set(lines)))
    extra = "\n".join(sorted(set(lines) - set(expected)))
    assert not missing, f"add to SOURCES.md:\n{missing}"
    assert not extra, f"not in data/sources.csv:\n{extra}"


def test_no_key_is_used_twice():
    keys = [row.key for row in all_sources()]
    assert len(keys) == len(set(keys))


def test_every_source_says_how_well_it_is_known():
    assert [row.key for row in all_sources() if not row.provenance.startswith(KNOWN)] == []


def test_an_unknown_source_is_refused_with_the_place_to_add_it():
    with pytest.raises(KeyError, match=r"data/sources\.csv"):
        source("NOT-THERE")
