"""Slabs enter, change, leave and split; nothing is half saved."""

import uuid
from datetime import date

import pytest
from django.db import IntegrityError, transaction

from tests.make import make_log, make_person, make_slab
from yard.models import History, Slab, SlabState
from yard.services.slabs import (
    ChangedMeanwhile,
    Piece,
    SlabRefused,
    TagTaken,
    slab_add,
    slab_change,
    slab_split,
    slab_tag_suggest,
    slab_void,
)
from yard.wood.ranges import OutsideRange

pytestmark = pytest.mark.django_db
SAWN = date(2026, 3, 2)


def board(log=None, **fields):
    sizes = {"kind": "board", "thickness_in": 1.125, "length_in": 96.0, "widths_in": [8.0], "sawn_on": SAWN}
    return slab_add(by=None, log=log, **(sizes | fields))


def test_a_slab_of_published_widths_holds_1584_square_inches_and_22_board_feet():
    slab = make_slab(widths_in=[18, 16.5, 15, 16, 19], length_in=96, quarters=8)
    assert slab.area_in2 == 1584
    assert slab.green_bf == 22
    assert (slab.mean_width_in, slab.narrowest_in) == (16.5, 15)


def test_slabs_of_a_log_come_in_sawing_order_with_its_species_and_owner():
    log = make_log("26-7", species_key="walnut-black")
    first, second = board(log), board(log)
    assert [(s.tag, s.position) for s in (first, second)] == [("26-7-1", 1), ("26-7-2", 2)]
    assert second.species_key == "walnut-black"


def test_the_same_key_sent_twice_is_one_slab():
    log, key = make_log(), uuid.uuid4()
    assert board(log, client_key=key).pk == board(log, client_key=str(key)).pk
    assert log.slabs.count() == 1
    assert History.objects.filter(table="slab").count() == 1


def test_a_doubled_tag_is_refused_whatever_its_capitals():
    board(tag="Gate 1", species_key="oak-white")
    with pytest.raises(TagTaken, match="Another slab has the tag gate 1: type another") as refused:
        board(tag="gate 1", species_key="oak-white")
    assert refused.value.field == "tag"
    assert Slab.objects.count() == 1


def test_the_nominal_thickness_is_the_largest_that_the_sawn_wood_still_holds():
    assert [board(species_key="oak-white", thickness_in=t).quarters for t in (1.125, 2.125, 2.25, 2.6, 0.8, 6)] == [
        4, 8, 8, 10, 3, 24,
    ]  # fmt: skip


def test_under_an_inch_counts_as_an_inch():
    assert board(species_key="oak-white", thickness_in=0.8, widths_in=[6], length_in=96).green_bf == pytest.approx(4)


def test_a_lot_of_boards_counts_its_tally():
    lot = slab_add(
        by=None, log=make_log(), kind="lot", thickness_in=1.125, length_in=96, sawn_on=SAWN,
        tally=[{"width_in": 6, "length_in": 96, "count": 3}, {"width_in": 9, "length_in": 48, "count": 2}],
    )  # fmt: skip
    assert lot.count == 5
    assert lot.area_in2 == 3 * 6 * 96 + 2 * 9 * 48
    assert lot.green_bf == pytest.approx(3 * 4 + 2 * 3)  # 1 x 6 in x 8 ft = 4 bf, 1 x 9 in x 4 ft = 3 bf
    assert lot.narrowest_in == 6


@pytest.mark.parametrize("sizes", [{"widths_in": []}, {"widths_in": [8, 0, 8]}, {"thickness_in": -1}])
def test_sizes_that_cannot_be_are_refused_with_nothing_saved(sizes):
    with pytest.raises(OutsideRange):
        board(species_key="oak-white", **sizes)
    assert not Slab.objects.exists()


def test_a_slab_wider_than_its_log_is_refused_with_the_logs_own_figure():
    log = make_log("26-3", small_end_in=16, large_end_in=20)
    board(log, widths_in=[20.5])  # an oval end
    with pytest.raises(SlabRefused, match="22 in is wider than log 26-3: its large end is 20 in") as refused:
        board(log, kind="live_edge", widths_in=[18, 19, 22])
    assert refused.value.field == "widths_in"
    assert log.slabs.count() == 1


def test_a_log_whose_large_end_is_not_measured_allows_more_and_says_so():
    log = make_log(small_end_in=16, large_end_in=None)
    board(log, widths_in=[20])
    with pytest.raises(SlabRefused, match="its large end is not measured"):
        board(log, widths_in=[22])


def test_a_slab_longer_than_its_log_is_refused():
    with pytest.raises(SlabRefused, match="longer than log") as refused:
        board(make_log(length_ft=8.5), length_in=120)
    assert refused.value.field == "length_in"


def test_an_edit_writes_what_changed_and_works_the_sizes_out_again():
    person, slab = make_person("hand"), make_slab()
    changed = slab_change(by=person, slab=slab, version=1, widths_in=[12.0], grade="1C")
    assert (changed.area_in2, changed.version) == (12 * 96, 2)
    line = History.objects.filter(table="slab", row_id=slab.pk, action="changed").get()
    assert line.by == person
    assert line.changes == {"widths_in": [[18, 16.5, 15, 16, 19], [12]], "grade": ["", "1C"]}


def test_an_edit_that_changes_nothing_leaves_no_history():
    slab = make_slab(grade="2A")
    assert slab_change(by=None, slab=slab, version=1, grade="2A").version == 1
    assert not History.objects.filter(action="changed").exists()


def test_the_second_of_two_editors_is_told_and_nothing_of_his_is_saved():
    slab = make_slab()
    slab_change(by=None, slab=slab, version=1, grade="FAS")
    with pytest.raises(ChangedMeanwhile) as meanwhile:
        slab_change(by=None, slab=slab, version=1, grade="2A")
    assert meanwhile.value.current.grade == "FAS"
    assert Slab.objects.get(pk=slab.pk).grade == "FAS"


def test_a_void_slab_gives_its_tag_and_its_place_back():
    log = make_log("26-9")
    board(log)
    wrong = board(log)
    void = slab_void(by=None, slab=wrong, reason="typed twice")
    assert (void.state, void.tag) == (SlabState.VOID, "26-9-2 void")
    again = board(log)
    assert (again.tag, again.position) == ("26-9-2", 2)
    assert slab_void(by=None, slab=again, reason="again").tag == "26-9-2 void 2"


def test_voiding_needs_a_reason():
    with pytest.raises(SlabRefused, match="Say why"):
        slab_void(by=None, slab=make_slab(), reason="  ")


def test_a_slab_in_a_stack_is_neither_made_void_nor_of_another_species():
    from tests.make import make_stack

    slab = make_slab()
    make_stack(slabs=[slab])
    slab.refresh_from_db()
    with pytest.raises(SlabRefused, match="Take it off its stack"):
        slab_void(by=None, slab=slab, reason="x")
    with pytest.raises(SlabRefused, match="dries in a stack"):
        slab_change(by=None, slab=slab, version=slab.version, species_key="oak-white")
    assert slab_change(by=None, slab=slab, version=slab.version, grade="FAS").grade == "FAS"


def test_a_board_is_split_into_tagged_pieces_and_kept_as_split():
    log = make_log("26-4")
    whole = board(log, widths_in=[12])
    pieces = slab_split(by=None, slab=whole, pieces=[Piece(thickness_in=1.125, length_in=48, widths_in=(12,))] * 2)
    whole.refresh_from_db()
    assert whole.state == SlabState.SPLIT
    assert [p.tag for p in pieces] == ["26-4-1a", "26-4-1b"]
    assert sum(p.green_bf for p in pieces) == pytest.approx(whole.green_bf)
    assert {p.split_from_id for p in pieces} == {whole.pk}


def test_pieces_that_hold_more_than_the_whole_are_refused():
    whole = board(species_key="oak-white", widths_in=[12])
    with pytest.raises(SlabRefused, match="look at their sizes again"):
        slab_split(by=None, slab=whole, pieces=[Piece(thickness_in=1.125, length_in=96, widths_in=(7,))] * 2)
    whole.refresh_from_db()
    assert whole.state == SlabState.SAWN
    assert Slab.objects.count() == 1


def test_pieces_of_dry_wood_carry_their_dry_tally():
    whole = board(species_key="oak-white", widths_in=[12])
    Slab.objects.filter(pk=whole.pk).update(state=SlabState.DRY)
    (piece,) = slab_split(by=None, slab=whole, pieces=[Piece(thickness_in=1.0, length_in=48, widths_in=(11.5,))])
    assert piece.state == SlabState.DRY
    assert piece.net_bf == pytest.approx(1 * 11.5 * 4 / 12)


def test_dry_sizes_make_the_net_tally():
    slab = make_slab(widths_in=[16.0], length_in=96)
    changed = slab_change(by=None, slab=slab, version=1, dry_widths_in=[15.0])
    assert changed.net_bf == pytest.approx(2 * 15 * 8 / 12)
    assert changed.green_bf == pytest.approx(2 * 16 * 8 / 12)


def test_bought_in_wood_takes_the_next_tag_of_its_own_series():
    assert slab_tag_suggest() == "S-1"
    assert board(species_key="oak-white").tag == "S-1"
    assert board(species_key="oak-white").tag == "S-2"


def test_the_database_itself_refuses_two_slabs_at_one_place_of_a_log():
    log = make_log()
    board(log)
    second = board(log)
    with pytest.raises(IntegrityError), transaction.atomic():
        Slab.objects.filter(pk=second.pk).update(position=1)


def test_a_short_code_that_is_taken_already_is_drawn_again(monkeypatch):
    first = board(species_key="oak-white")
    signs = iter(first.code + "ZZZZZZ")
    monkeypatch.setattr("yard.models.base.secrets.choice", lambda alphabet: next(signs))
    assert board(species_key="oak-white").code == "ZZZZZZ"


def test_a_place_in_the_log_that_is_taken_is_refused():
    log = make_log()
    board(log)
    second = board(log)
    with pytest.raises(SlabRefused, match="Place 1 in log") as refused:
        slab_change(by=None, slab=second, version=1, position=1)
    assert refused.value.field == "position"
    with pytest.raises(SlabRefused, match="Place 2 in log"):
        board(log, position=2)


def test_a_slab_keeps_a_tag():
    with pytest.raises(SlabRefused, match="keeps a tag"):
        slab_change(by=None, slab=board(species_key="oak-white"), version=1, tag=" ")
