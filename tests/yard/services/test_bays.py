"""Bays: what they are told to be, the map's free places, closing, and wood estimated anew when air changes."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from tests.make import BUILT_AT, make_bay, make_slab, make_stack, make_yard
from yard.models import Bay, Cohort, History, Slab
from yard.services.bays import bay_add, bay_change, bay_close, bay_open_again, free_map_place
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.placement_check import placement_faults
from yard.services.stacks import stack_move

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _yard(db):
    make_yard(time_zone="UTC")


def test_a_new_bay_takes_the_next_free_place_on_the_map():
    places = []
    for n in range(5):
        bay = bay_add(by=None, name=f"Row {n}", kind="outdoors")
        places.append((bay.map_x, bay.map_y))
    assert places == [(0, 0), (3, 0), (6, 0), (9, 0), (0, 2)]
    assert free_map_place(12, 1) == (0, 4)


def test_a_bay_beyond_the_edge_of_the_map_is_refused():
    with pytest.raises(ValidationError) as error:
        bay_add(by=None, name="Row", kind="outdoors", map_x=11, map_y=0, map_w=2, map_h=1)
    assert "12 squares wide" in error.value.message_dict["map_x"][0]


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"air": "steady"}, {"steady_temp_f", "steady_rh_pct"}),
        ({"air": "steady", "steady_temp_f": 70.0, "steady_rh_pct": 120.0}, {"steady_rh_pct"}),
        ({"air": "sensor"}, {"sensor"}),
        ({"air": "offset", "offset_temp_f": 200.0}, {"offset_temp_f"}),
        ({"places": 0}, {"places"}),
        ({"kind": "cave"}, {"kind"}),
        ({"name": "row a"}, {"name"}),
    ],
)
def test_a_bay_that_is_not_fully_told_is_refused_beside_the_field(fields, where):
    make_bay("Row A")
    with pytest.raises(ValidationError) as error:
        bay_add(by=None, **({"name": "Row B", "kind": "outdoors"} | fields))
    assert set(error.value.message_dict) == where
    assert Bay.objects.count() == 1


def test_when_the_air_changes_all_wood_that_ever_stood_there_is_estimated_anew():
    bay, elsewhere = make_bay("Row A"), make_bay("Row B")
    here, gone, never = make_stack(bay=bay), make_stack(bay=bay), make_stack(bay=elsewhere)
    stack_move(stack=gone, bay=elsewhere, at=BUILT_AT + DAY, by=None)
    Cohort.objects.update(stale_since=None)
    bay_change(bay=bay, by=None, version=1, note="by the gate")
    assert not Cohort.objects.filter(stale_since__isnull=False).exists()
    bay_change(bay=bay, by=None, version=2, air="offset", offset_temp_f=4.0)
    stale = set(Cohort.objects.filter(stale_since__isnull=False))
    assert stale == {here.cohorts.get(), gone.cohorts.get()}
    assert never.cohorts.get().stale_since is None


def test_slabs_follow_when_a_bay_becomes_a_kiln():
    bay = make_bay("Box")
    make_stack(bay=bay)
    bay_change(bay=bay, by=None, version=1, kind="kiln")
    assert set(Slab.objects.values_list("state", flat=True)) == {"kiln"}
    assert placement_faults() == []


def test_two_people_changing_one_bay_notice_each_other():
    bay = make_bay("Row A")
    bay_change(bay=bay, by=None, version=1, name="North row")
    with pytest.raises(ChangedMeanwhile):
        bay_change(bay=bay, by=None, version=1, name="South row")
    assert History.objects.get(table="bay", action="changed").changes == {"name": ["Row A", "North row"]}


def test_only_an_empty_bay_can_be_closed_and_it_can_be_opened_again():
    bay = make_bay("Row A")
    stack = make_stack("ST-1", bay=bay)
    loose = make_slab("L-1")
    Slab.objects.filter(pk=loose.pk).update(bay=bay)
    with pytest.raises(ValidationError) as error:
        bay_close(bay=bay, by=None)
    assert "Row A is not empty: ST-1, L-1" in error.value.messages[0]
    stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + DAY, by=None)
    Slab.objects.filter(pk=loose.pk).update(bay=None)
    assert bay_close(bay=bay, by=None).closed_on is not None
    assert bay_open_again(bay=bay, by=None).closed_on is None
