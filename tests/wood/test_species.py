"""The species table: as published, complete, and found by what people type."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood.ranges import OutsideRange
from yard.wood.species import Species, UnknownSpecies, all_species, find_species, species

TABLE = Path(__file__).parents[2] / "yard" / "wood" / "data" / "species.csv"
PROVENANCES = ("read", "memory", "computed", "none found")


def _first(typed):
    return find_species(typed)[0].key


def test_every_published_figure_stands_in_the_table():
    """The rows whose provenance says memory are recalled from the publication, not read."""
    off = [
        row
        for row in published("species_figures.csv")
        if getattr(species(row["species_key"]), row["figure"]) != float(row["value"])
    ]
    assert off == []


def test_the_table_holds_99_woods_each_once():
    keys = [row.key for row in all_species()]
    assert len(keys) == len(set(keys)) == 99
    names = [row.common_name for row in all_species()]
    assert len(names) == len(set(names))


def test_every_group_of_figures_says_how_well_it_is_known():
    with TABLE.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    columns = [name for name in rows[0] if name.endswith("_provenance")]
    assert len(columns) >= 8
    bad = [(row["key"], name) for row in rows for name in columns if not row[name].startswith(PROVENANCES)]
    assert bad == []


def test_a_figure_without_a_source_is_left_empty_rather_than_made_up():
    for row in all_species():
        for value, provenance in (
            (row.green_mc_heartwood_pct, row.green_mc_provenance),
            (row.green_mc_sapwood_pct, row.green_mc_provenance),
            (row.shrink_radial_pct, row.shrink_provenance),
        ):
            assert value is None or provenance != "none found"


def test_figures_lie_where_wood_lies():
    for row in all_species():
        assert 0.25 < row.basic_specific_gravity < 0.95
        assert row.fibre_saturation_pct in (22, 30)
        assert row.drying_group in ("easy", "moderate", "slow", "refractory")
        assert 25 < row.green_moisture.mc_pct < 250
        if row.shrink_radial_pct and row.shrink_tangential_pct:
            assert row.shrink_radial_pct < row.shrink_tangential_pct


def test_volume_shrinks_by_about_what_both_faces_shrink_but_for_three_woods_printed_otherwise():
    """Separate measurements: the gaps printed beyond a point under or three over are named in SOURCES.md."""
    strays = set()
    for row in all_species():
        radial, tangential, volume = row.shrink_radial_pct, row.shrink_tangential_pct, row.shrink_volumetric_pct
        if radial and tangential and volume:
            both = radial + tangential - radial * tangential / 100
            if not -1.0 <= volume - both <= 3.0:
                strays.add(row.key)
    assert strays == {"locust-black", "boxelder", "cedar-port-orford"}


def test_only_redwood_and_two_cedars_take_fibre_saturation_22():
    low = {row.key for row in all_species() if row.fibre_saturation_pct == 22}
    assert low == {"redwood", "redwood-young", "redcedar-western", "cedar-northern-white"}


def test_whole_tree_average_never_stands_for_heartwood():
    for row in all_species():
        green = row.green_moisture
        if green.part == "whole tree":
            assert green.mc_pct == row.green_mc_average_pct
            assert "FIA" in green.source
        else:
            assert "FIA" not in green.source


def test_green_moisture_follows_the_wood_that_sawn_stock_mostly_holds():
    assert species("oak-northern-red").green_moisture.part == "heartwood"
    assert species("pine-red").green_moisture == species("pine-red").green_moisture
    assert species("pine-red").green_moisture.mc_pct == 134
    assert species("beech").green_moisture.mc_pct == (55 + 72) / 2
    assert species("maple-red").green_moisture.part == "whole tree"


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("oak, northern red", "oak-northern-red"),
        ("northern red oak", "oak-northern-red"),
        ("Red Oak", "oak-northern-red"),
        ("oak-northern-red", "oak-northern-red"),
        ("Quercus rubra", "oak-northern-red"),
        ("white oak", "oak-white"),
        ("hard maple", "maple-sugar"),
        ("soft maple", "maple-red"),
        ("tulip poplar", "yellow-poplar"),
        ("poplar", "yellow-poplar"),
        ("cherry", "cherry-black"),
        ("walnut", "walnut-black"),
        ("eastern red cedar", "redcedar-eastern"),
        ("cypress", "baldcypress"),
        ("white pine", "pine-eastern-white"),
        ("elm", "elm-american"),
        ("  WALN ", "walnut-black"),
        ("jugl nig", "walnut-black"),
        ("suger maple", "maple-sugar"),
    ],
)
def test_typed_names_find_the_wood_meant(typed, key):
    assert _first(typed) == key


def test_every_wood_is_found_first_by_its_own_names():
    for row in all_species():
        assert row in find_species(row.common_name)[:1]
        assert row in find_species(row.key)[:1]
        assert row in find_species(row.plain_name)[:1]
        assert row in find_species(row.botanical_name)[:2]


def test_nothing_typed_lists_every_wood_and_nonsense_none():
    assert len(find_species("  ")) == 99
    assert find_species("qwzx") == ()


def test_an_unknown_wood_is_refused_with_the_nearest_ones():
    with pytest.raises(UnknownSpecies, match="Did you mean oak-northern-red") as refused:
        species("oak-nothern-red")
    assert refused.value.suggestions[0] == "oak-northern-red"
    with pytest.raises(OutsideRange, match="See the species list"):
        species("")


def test_a_species_is_taken_in_place_of_its_key():
    oak = species("oak-white")
    assert isinstance(oak, Species)
    assert species(oak) is oak
    assert species(" Oak-White ") is oak


def test_cautions_carry_where_they_were_read():
    topics = {caution.topic for row in all_species() for caution in row.cautions}
    assert topics == {"drying", "decay", "insects", "dust", "meter"}
    assert all(caution.text and caution.provenance for row in all_species() for caution in row.cautions)


@given(typed=st.text(max_size=40))
def test_no_text_breaks_the_search(typed):
    assert all(isinstance(row, Species) for row in find_species(typed))
    if typed.strip().lower() not in {row.key for row in all_species()}:
        with pytest.raises(UnknownSpecies, match="unknown species"):
            species(typed)
