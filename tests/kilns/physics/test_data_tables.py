"""Every table of the kilns says where each row comes from, and only from sources of the list."""

import pytest

from kilns.physics.tables import DATA_DIR, table
from yard.wood.sources import source

TABLES = sorted(path.name for path in DATA_DIR.glob("*.csv"))
KNOWN = ("read", "memory", "common practice", "R ", "limit read")


@pytest.mark.parametrize("name", TABLES)
def test_every_row_names_a_source_of_the_list_and_how_well_it_is_known(name):
    assert len(table(name)) > 0
    for row in table(name):
        assert source(row["source_key"])
        assert row["provenance"].startswith(KNOWN), row


@pytest.mark.parametrize("name", TABLES)
def test_nothing_of_low_memory_is_used(name):
    assert not [row for row in table(name) if row["provenance"].startswith("memory low")]
