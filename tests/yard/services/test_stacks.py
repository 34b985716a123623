"""Building, adding, taking out, moving, restacking, taking down: rules, words and what is written down."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from tests.make import BUILT_AT, make_bay, make_person, make_slab, make_stack, make_yard
from yard.models import Cohort, History, Membership, Slab, SlabState, Stack, Stay
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.placement_check import placement_faults
from yard.services.stacks import (
    stack_add_slabs,
    stack_arrange,
    stack_build,
    stack_change,
    stack_move,
    stack_restack,
    stack_tag_suggest,
    stack_take_down,
    stack_take_out,
)
from yard.services.stays import bay_full_warning

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _yard(db):
    make_yard(time_zone="UTC")
    yield
    assert placement_faults() == []


def refusal(error, field):
    return " ".join(error.value.message_dict[field])


def states(stack):
    return set(Slab.objects.filter(stack=stack).values_list("state", flat=True))


def test_a_built_stack_stands_in_its_bay_with_its_slabs_from_that_moment():
    shed, slabs = make_bay("Shed 2", kind="shed"), [make_slab() for _ in range(3)]
    stack = stack_build(tag=" ST-7 ", slabs=slabs, bay=shed, at=BUILT_AT, by=None, sticker_in=1.0)
    assert (stack.tag, stack.built_on, stack.bay, stack.sticker_in) == ("ST-7", BUILT_AT.date(), shed, 1.0)
    assert list(stack.memberships.values_list("slab", "since", "until").order_by("slab")) == [
        (slab.pk, BUILT_AT, None) for slab in slabs
    ]
    assert [(stay.bay, stay.since, stay.until) for stay in stack.stays.all()] == [(shed, BUILT_AT, None)]
    assert states(stack) == {SlabState.STACKED}


def test_history_says_who_built_it_from_which_slabs_and_where():
    hand, slab = make_person("hand"), make_slab("A-1")
    stack = stack_build(tag="ST-1", slabs=[slab], bay=make_bay("Row A"), at=BUILT_AT, by=hand)
    line = History.objects.get(table="stack", row_id=stack.pk)
    assert (line.by, line.action) == (hand, "built")
    assert line.changes == {"slabs": [[], ["A-1"]], "bay": [None, "Row A"]}


def test_courses_fill_to_the_width_of_the_stack_in_the_order_given():
    slabs = [make_slab(widths_in=[width]) for width in (20, 20, 20, 30, 10, 10)]
    stack = make_stack(slabs=slabs, width_ft=4)
    laid = stack.memberships.order_by("course", "place").values_list("course", "place", "slab__mean_width_in")
    assert list(laid) == [(1, 1, 20), (1, 2, 20), (2, 1, 20), (3, 1, 30), (3, 2, 10), (4, 1, 10)]


def test_courses_as_a_person_said_are_kept():
    slabs = [make_slab() for _ in range(3)]
    stack = make_stack(slabs=slabs, courses=[1, 2, 2])
    laid = stack.memberships.order_by("course", "place").values_list("course", "place", "slab")
    assert list(laid) == [(1, 1, slabs[0].pk), (2, 1, slabs[1].pk), (2, 2, slabs[2].pk)]


def test_a_lot_wider_than_the_stack_takes_as_many_courses_as_it_needs():
    lot = make_slab(kind="lot", tally=[{"width_in": 6.0, "length_in": 96.0, "count": 20}], widths_in=[])
    above = make_slab(widths_in=[20.0])
    stack = make_stack(slabs=[lot, above], width_ft=4)  # 120 in of boards over 48 in: three courses
    assert list(stack.memberships.order_by("course").values_list("course", flat=True)) == [1, 4]


def test_a_slab_in_another_stack_is_refused_and_the_message_says_where_it_is():
    slab = make_slab("B-3")
    make_stack("ST-3", slabs=[slab], bay=make_bay("North row"))
    with pytest.raises(ValidationError) as error:
        make_stack("ST-4", slabs=[make_slab(), slab])
    assert "B-3 is in ST-3 (North row) since 10 Mar 2025 15:00" in refusal(error, "slabs")
    assert not Stack.objects.filter(tag="ST-4").exists()


def test_a_back_dated_stack_is_refused_a_slab_that_was_elsewhere_at_that_time():
    slab = make_slab("B-4")
    stack = make_stack("ST-3", slabs=[slab, make_slab()])
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + 5 * DAY, by=None)
    with pytest.raises(ValidationError) as error:
        make_stack("ST-4", slabs=[slab], at=BUILT_AT + 2 * DAY)
    assert "B-4 was in ST-3 until 15 Mar 2025 15:00" in refusal(error, "slabs")
    assert make_stack("ST-4", slabs=[slab], at=BUILT_AT + 5 * DAY).tag == "ST-4"


def test_nothing_is_built_in_the_future_or_before_the_wood_was_sawn():
    with pytest.raises(ValidationError) as error:
        make_stack(at=timezone.now() + timedelta(hours=1))
    assert "has not come yet" in refusal(error, "at")
    with pytest.raises(ValidationError) as error:
        make_stack(slabs=[make_slab("C-1", sawn_on=date(2025, 3, 11))])
    assert "C-1 (11 Mar 2025)" in refusal(error, "at")


@pytest.mark.parametrize("state", [SlabState.SOLD, SlabState.VOID, SlabState.SPLIT, SlabState.RETURNED])
def test_what_has_left_the_yard_cannot_be_stacked(state):
    slab = make_slab("D-1")
    Slab.objects.filter(pk=slab.pk).update(state=state)
    with pytest.raises(ValidationError) as error:
        make_stack(slabs=[slab])
    assert "D-1" in refusal(error, "slabs")


def test_a_slab_named_twice_and_an_empty_stack_are_refused():
    slab = make_slab("E-1")
    with pytest.raises(ValidationError) as error:
        make_stack(slabs=[slab, slab])
    assert "Listed twice: E-1" in refusal(error, "slabs")
    with pytest.raises(ValidationError) as error:
        make_stack(slabs=[])
    assert "at least one" in refusal(error, "slabs")


def test_a_tag_that_another_stack_has_is_refused_in_any_case_of_letters():
    make_stack("ST-9")
    with pytest.raises(ValidationError) as error:
        make_stack("st-9")
    assert "Another stack has the tag ST-9" in refusal(error, "tag")


def test_figures_that_cannot_be_are_refused_beside_their_field():
    with pytest.raises(ValidationError) as error:
        make_stack(sticker_in=9.0)
    assert refusal(error, "sticker_in")


def test_moving_ends_one_stay_where_the_next_begins_and_states_follow_the_kind_of_bay():
    kiln, store, shed = make_bay("Kiln", "kiln"), make_bay("Store", "dry_store"), make_bay("Shed", "shed")
    dry, wet = make_slab(), make_slab()
    Slab.objects.filter(pk=dry.pk).update(dry_on=date(2025, 3, 9), dry_mc_pct=8)
    stack = make_stack(slabs=[dry, wet])
    stack_move(stack=stack, bay=kiln, at=BUILT_AT + DAY, by=None)
    assert states(stack) == {SlabState.KILN}
    stack_move(stack=stack, bay=store, at=BUILT_AT + 2 * DAY, by=None)
    assert Slab.objects.get(pk=dry.pk).state == SlabState.DRY
    assert Slab.objects.get(pk=wet.pk).state == SlabState.STACKED
    stack_move(stack=stack, bay=shed, at=BUILT_AT + 3 * DAY, by=None)
    assert states(stack) == {SlabState.STACKED}
    edges = list(stack.stays.order_by("since").values_list("since", "until"))
    assert edges == [
        (BUILT_AT, BUILT_AT + DAY),
        (BUILT_AT + DAY, BUILT_AT + 2 * DAY),
        (BUILT_AT + 2 * DAY, BUILT_AT + 3 * DAY),
        (BUILT_AT + 3 * DAY, None),
    ]


def test_a_move_before_the_last_one_or_into_the_future_is_refused():
    stack = make_stack("ST-5", bay=make_bay("Row A"))
    stack_move(stack=stack, bay=make_bay("Row B"), at=BUILT_AT + 9 * DAY, by=None)
    with pytest.raises(ValidationError) as error:
        stack_move(stack=stack, bay=make_bay("Row C"), at=BUILT_AT + 4 * DAY, by=None)
    assert "ST-5 came to Row B on 19 Mar 2025 15:00" in refusal(error, "at")
    with pytest.raises(ValidationError) as error:
        stack_move(stack=stack, bay=make_bay("Row D"), at=timezone.now() + DAY, by=None)
    assert "has not come yet" in refusal(error, "at")


def test_a_move_to_where_it_stands_to_a_closed_bay_or_of_a_stack_taken_down_is_refused():
    bay, closed = make_bay("Row A"), make_bay("Old row", closed_on=date(2025, 1, 1))
    stack = make_stack("ST-5", bay=bay)
    for where, words in ((bay, "stands in Row A already"), (closed, "Old row is closed")):
        with pytest.raises(ValidationError) as error:
            stack_move(stack=stack, bay=where, at=BUILT_AT + DAY, by=None)
        assert words in refusal(error, "bay")
    stack_take_down(stack=stack, at=BUILT_AT + DAY, by=None)
    with pytest.raises(ValidationError) as error:
        stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + 2 * DAY, by=None)
    assert "was taken down" in " ".join(error.value.messages)


def test_a_bay_with_more_stacks_than_fit_warns_and_the_move_still_counts():
    bay = make_bay("Row A", places=1)
    make_stack(bay=bay)
    assert bay_full_warning(bay) == ""
    stack = make_stack()
    stack_move(stack=stack, bay=bay, at=BUILT_AT + DAY, by=None)
    assert bay_full_warning(bay) == "Row A is meant for 1 stack, and 2 stand there now."
    assert Stack.objects.get(pk=stack.pk).bay == bay


def test_added_slabs_lie_on_top():
    stack = make_stack(slabs=2, width_ft=4)
    new = make_slab()
    stack_add_slabs(stack=stack, slabs=[new], at=BUILT_AT + DAY, by=None)
    assert Membership.objects.get(slab=new).course == 2


def test_slabs_cannot_be_added_before_the_stack_was_built():
    stack = make_stack("ST-6")
    with pytest.raises(ValidationError) as error:
        stack_add_slabs(stack=stack, slabs=[make_slab()], at=BUILT_AT - DAY, by=None)
    assert "ST-6 was built on 10 Mar 2025 15:00" in refusal(error, "at")


def test_what_is_taken_out_lies_where_the_stack_stood_at_that_time():
    first, second = make_bay("Row A"), make_bay("Row B")
    stack = make_stack(slabs=3, bay=first)
    a, b, _c = [row.slab for row in stack.memberships.order_by("pk")]
    stack_move(stack=stack, bay=second, at=BUILT_AT + 10 * DAY, by=None)
    stack_take_out(stack=stack, slabs=[a], at=BUILT_AT + 5 * DAY, by=None)
    stack_take_out(stack=stack, slabs=[b], at=BUILT_AT + 11 * DAY, by=None)
    a.refresh_from_db(), b.refresh_from_db()
    assert (a.stack, a.bay, a.state) == (None, first, SlabState.SAWN)
    assert (b.stack, b.bay, b.state) == (None, second, SlabState.SAWN)


def test_taking_out_what_is_not_in_the_stack_or_before_it_came_in_is_refused():
    stack, stranger = make_stack("ST-8"), make_slab("X-1")
    with pytest.raises(ValidationError) as error:
        stack_take_out(stack=stack, slabs=[stranger], at=BUILT_AT + DAY, by=None)
    assert "Not in ST-8: X-1" in refusal(error, "slabs")
    inside = stack.memberships.first().slab
    with pytest.raises(ValidationError) as error:
        stack_take_out(stack=stack, slabs=[inside], at=BUILT_AT - DAY, by=None)
    assert f"{inside.tag} came into ST-8" in refusal(error, "at")


def test_a_slab_taken_out_at_the_moment_it_came_in_was_never_there():
    stack, slab = make_stack(), make_slab()
    stack_add_slabs(stack=stack, slabs=[slab], at=BUILT_AT + DAY, by=None)
    stack_take_out(stack=stack, slabs=[slab], at=BUILT_AT + DAY, by=None)
    slab.refresh_from_db()
    assert slab.cohort is None
    assert make_stack("ST-X", slabs=[slab], at=BUILT_AT).tag == "ST-X"


def test_restacking_moves_slabs_of_two_stacks_and_takes_down_the_one_left_empty():
    one, other = make_stack("ST-1", slabs=2), make_stack("ST-2", slabs=3)
    stays = [row.slab for row in other.memberships.order_by("pk")]
    moved = [row.slab for row in one.memberships.order_by("pk")] + stays[:2]
    at = BUILT_AT + 30 * DAY
    new = stack_restack(tag="ST-3", slabs=moved, bay=make_bay("Row Z"), at=at, by=None)
    assert set(Slab.objects.filter(stack=new)) == set(moved)
    one.refresh_from_db(), other.refresh_from_db()
    assert (one.taken_down_at, one.bay) == (at, None)
    assert other.taken_down_at is None
    assert list(Slab.objects.filter(stack=other)) == stays[2:]


def test_restacked_wood_keeps_its_past_in_the_cohort_it_came_from():
    old = make_stack(slabs=2)
    before = old.cohorts.get()
    Cohort.objects.filter(pk=before.pk).update(start_mc_pct=77.0)
    slabs = [row.slab for row in old.memberships.all()]
    new = stack_restack(tag="ST-2", slabs=slabs, bay=make_bay(), at=BUILT_AT + 40 * DAY, by=None)
    after = new.cohorts.get()
    assert (after.came_from, after.started_on, after.start_mc_pct) == (before, before.started_on, 77.0)
    before.refresh_from_db()
    assert before.left_at == BUILT_AT + 40 * DAY


def test_a_stack_taken_down_leaves_its_slabs_loose_in_the_bay():
    bay = make_bay()
    stack = make_stack("ST-1", slabs=2, bay=bay)
    stack_take_down(stack=stack, at=BUILT_AT + DAY, by=None)
    stack.refresh_from_db()
    assert (stack.bay, stack.taken_down_at) == (None, BUILT_AT + DAY)
    assert set(Slab.objects.values_list("stack", "bay", "state")) == {(None, bay.pk, "sawn")}
    assert not Stay.objects.filter(until__isnull=True).exists()
    assert not Cohort.objects.filter(left_at__isnull=True).exists()


def test_courses_can_be_laid_anew_and_must_name_each_slab_once():
    stack = make_stack("ST-1", slabs=[make_slab("F-1"), make_slab("F-2")], courses=[1, 2])
    one, two = Slab.objects.filter(stack=stack).order_by("tag")
    stack_arrange(stack=stack, slabs=[two, one], courses=[1, 2], by=None)
    assert list(stack.memberships.order_by("course").values_list("slab__tag", flat=True)) == ["F-2", "F-1"]
    with pytest.raises(ValidationError) as error:
        stack_arrange(stack=stack, slabs=[two, make_slab("G-1")], by=None)
    assert "Left out: F-1. Not in this stack: G-1." in refusal(error, "slabs")


def test_changes_need_the_version_that_was_seen_and_are_written_down():
    stack = make_stack("ST-1")
    stack_change(stack=stack, by=None, version=1, covered=True, tag="ST-1b")
    with pytest.raises(ChangedMeanwhile):
        stack_change(stack=stack, by=None, version=1, covered=False)
    line = History.objects.get(table="stack", action="changed")
    assert line.changes == {"covered": [False, True], "tag": ["ST-1", "ST-1b"]}


def test_the_suggested_tag_is_the_next_of_the_series():
    assert stack_tag_suggest() == "ST-1"
    make_stack("ST-12")
    make_stack("walnut by the gate")
    assert stack_tag_suggest() == "ST-13"


def test_another_target_makes_the_estimates_of_the_stack_out_of_date_and_another_note_does_not():
    stack = make_stack()
    Cohort.objects.update(stale_since=None)
    stack = stack_change(stack=stack, by=None, version=stack.version, note="leans a little")
    assert Cohort.objects.get().stale_since is None
    stack_change(stack=stack, by=None, version=stack.version, target_mc_pct=12.0)
    assert Cohort.objects.get().stale_since is not None
