"""A working shows the figure that the function gives, and a source that is listed."""

import inspect

import pytest

from yard.wood import board_feet, log_rules, stacking, working_measures
from yard.wood.ranges import OutsideRange
from yard.wood.sources import source
from yard.wood.working import work_out

SLAB_IN = (18.0, 16.5, 15.0, 16.0, 19.0)
WORKINGS = {
    "working_board_feet": (2.0, 10.0, 6.0),
    "working_surface_measure": (6.5, 8.0),
    "working_slab_area": (SLAB_IN, 96.0),
    "working_slab_board_feet": (SLAB_IN, 96.0, 2.0),
    "working_net_from_gross": (1000.0, 8.0),
    "working_log_scale": ("doyle", 12.0, 16.0),
    "working_net_scale": (95.0, 15.0),
    "working_smalian": (20.0, 22.0, 10.0),
    "working_huber": (24.0, 10.0),
    "working_courses": (54.0, 1.125, 0.75),
    "working_stack_board_feet": (4.0, 54.0, 10.0, 1.0, 1.125, 0.75, 0.9),
    "working_open_air_area": (29, 0.75, 10.0, 6, 1.25),
    "working_stack_weight": ((20.0, 22.0), 100),
}


def test_every_working_of_measures_is_tried_here():
    names = {
        name for name, _ in inspect.getmembers(working_measures, inspect.isfunction) if name.startswith("working_")
    }
    assert names == set(WORKINGS)


@pytest.mark.parametrize("name", sorted(WORKINGS))
def test_a_working_has_all_a_reader_needs(name):
    working = getattr(working_measures, name)(*WORKINGS[name])
    assert working.title
    assert working.formula
    assert working.source == source(working.source_key).text
    assert working.provenance
    assert all(entry.name for entry in working.inputs)
    module, _, function = working.function.rpartition(".")
    assert module.startswith("yard.wood.")
    assert function


@pytest.mark.parametrize("rule", sorted(log_rules.LOG_RULES))
def test_the_working_of_a_log_shows_what_the_rule_gives(rule):
    working = working_measures.working_log_scale(rule, 17.0, 14.0)
    assert working.result == log_rules.log_scale_bf(rule, 17.0, 14.0)
    assert [entry.value for entry in working.inputs] == [17.0, 14.0]


def test_the_figures_of_a_working_are_the_functions_own():
    assert working_measures.working_slab_area(SLAB_IN, 96.0, "simpson").result == 1576.0
    assert working_measures.working_slab_board_feet(SLAB_IN, 96.0, 2.0).result == board_feet.slab_board_feet_bf(
        SLAB_IN, 96.0, 2.0
    )
    found = working_measures.working_open_air_area(29, 0.75, 10.0, 6, 1.25).result
    assert found == stacking.open_air_area_ft2(29, 0.75, 10.0, 6, 1.25)


def test_a_working_of_what_cannot_be_is_refused_as_the_function_refuses():
    with pytest.raises(OutsideRange):
        working_measures.working_log_scale("doyle", 2.0, 16.0)


def test_a_source_that_is_not_listed_cannot_be_cited():
    with pytest.raises(KeyError):
        work_out("x", "x", board_feet.board_feet_bf, {}, "bf", "NOT-THERE")
