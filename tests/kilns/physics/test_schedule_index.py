"""Which schedule a wood takes: the index row by row (from memory), and the stated rules where it prints nothing."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.schedule_index import gentler_code, schedule_for
from kilns.physics.schedules import NoSchedule, assemble
from kilns.physics.tables import table
from tests.published_tables import published
from yard.wood.ranges import OutsideRange
from yard.wood.species import all_species, species

KEYS = {
    row["wood_as_printed"]: [key for key in row["species_keys"].split(";") if key]
    for row in table("schedule_index.csv")
}
ALL_CODES = [f"T{t}-{c}{n}" for t, c, n in itertools.product(range(1, 15), "ABCDEF", range(1, 9))]


@pytest.mark.parametrize(
    "row", published("kiln_schedule_index.csv"), ids=lambda row: f"{row['wood']} {row['thickness']}"
)
def test_every_row_of_the_index_comes_out_for_its_woods(row):
    thicknesses = (1.0, 1.25, 1.5) if row["thickness"].startswith("4/4") else (2.0,)
    for key, thickness_in in itertools.product(KEYS[row["wood"]], thicknesses):
        if row["code"] == "none listed" or "-H" in row["code"]:
            with pytest.raises(NoSchedule):
                schedule_for(key, thickness_in)
            continue
        choice = schedule_for(key, thickness_in)
        assert (choice.schedule.code, choice.basis, choice.wood) == (row["code"], "printed", row["wood"])
        assert choice.provenance.startswith("memory")


def test_woods_of_the_index_are_woods_of_the_species_table():
    keys = [key for found in KEYS.values() for key in found]
    assert len(keys) == len(set(keys)) > 50
    assert all(species(key).wood_class == "hardwood" for key in keys)


def test_softwoods_are_refused_with_the_reason():
    for wood in all_species():
        if wood.wood_class == "softwood":
            with pytest.raises(NoSchedule, match="another depression table"):
                schedule_for(wood, 1.0)


def test_thin_and_between_thicknesses_take_the_gentler_neighbour_and_say_so():
    assert schedule_for("oak-northern-red", 0.75).schedule.code == "T4-D2"
    between = schedule_for("oak-northern-red", 1.75)
    assert (between.schedule.code, between.basis, between.estimated) == ("T3-D1", "nearest thickness", True)


def test_thick_slabs_get_a_gentler_schedule_by_a_rule_that_is_named_as_our_own():
    codes = [schedule_for("maple-sugar", thickness_in).schedule.code for thickness_in in (2, 3, 4)]
    assert codes[0] == "T5-C2"
    assert len(set(codes)) == 3
    thick = schedule_for("maple-sugar", 2.5)
    assert thick.estimated
    assert "no source" in thick.provenance
    with pytest.raises(OutsideRange, match="thickness"):
        schedule_for("maple-sugar", 4.25)


@settings(deadline=None)
@given(st.sampled_from(ALL_CODES), st.integers(1, 4))
def test_a_gentler_code_is_nowhere_hotter_or_drier(code, times):
    hard, mild = assemble(code), assemble(gentler_code(code, times))
    for mc in (80, 55, 45, 38, 32, 28, 22, 17, 8):
        assert mild.step_at(mc).dry_bulb_f <= hard.step_at(mc).dry_bulb_f
        assert mild.step_at(mc).depression_f <= hard.step_at(mc).depression_f


def test_a_wood_that_the_index_leaves_out_takes_the_gentlest_of_its_group_and_says_so():
    choice = schedule_for("honeylocust", 1.0)
    assert (choice.basis, choice.estimated) == ("drying group", True)
    assert "no source" in choice.provenance
    assert any("honeylocust" in note.lower() for note in choice.notes)


def test_every_hardwood_has_a_schedule_at_four_quarters_or_a_reason():
    none = []
    for wood in all_species():
        if wood.wood_class == "hardwood":
            try:
                assert schedule_for(wood, 1.0).schedule.steps
            except NoSchedule as error:
                none.append((wood.key, str(error)))
    assert [key for key, _ in none] == ["tupelo-water"]
    assert "class H" in none[0][1]
