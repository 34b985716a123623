"""Two people and one nervous thumb at one log, with real threads."""

import threading
import uuid
from datetime import date

import pytest
from django.db import connection

from tests.make import make_log, make_yard
from yard.models import Slab, SlabState
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.logs import log_add
from yard.services.sawing import saw_add, saw_undo
from yard.services.slabs import TagTaken, slab_add, slab_change

pytestmark = pytest.mark.django_db(transaction=True)
BOARD = {"kind": "board", "thickness_in": 1.125, "length_in": 96.0, "widths_in": [8.0]}
HANDS = 6
DAY = date(2026, 3, 2)


def at_once(works):
    """Run each in a thread of its own, let go together; what each gave back or raised."""
    barrier, results = threading.Barrier(len(works)), [None] * len(works)

    def run(number, work):
        try:
            barrier.wait()
            results[number] = work()
        except Exception as error:
            results[number] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def test_one_row_sent_by_six_presses_is_one_slab():
    make_yard()
    log = make_log("26-7")
    for _ in range(5):
        key = uuid.uuid4()
        sent = at_once([lambda key=key: saw_add(by=None, log=log, client_key=key, fields=dict(BOARD))] * HANDS)
        assert {type(result) for result in sent} == {Slab}, sent
        assert len({result.pk for result in sent}) == 1
    assert log.slabs.count() == 5


def test_six_rows_at_once_take_six_places_and_tags():
    make_yard()
    log = make_log("26-7")
    sent = at_once(
        [lambda: saw_add(by=None, log=log, client_key=uuid.uuid4(), fields=dict(BOARD)) for _ in range(HANDS)]
    )
    assert {type(result) for result in sent} == {Slab}, sent
    assert sorted(slab.position for slab in log.slabs.all()) == list(range(1, HANDS + 1))
    assert {slab.tag for slab in log.slabs.all()} == {f"26-7-{n}" for n in range(1, HANDS + 1)}


def test_bought_in_wood_at_once_takes_a_tag_each():
    make_yard()
    sent = at_once([lambda: slab_add(by=None, species_key="oak-white", sawn_on=DAY, **BOARD) for _ in range(HANDS)])
    assert {type(result) for result in sent} == {Slab}, sent
    assert len(set(Slab.objects.values_list("tag", flat=True))) == HANDS


def test_of_six_with_one_own_tag_exactly_one_is_kept():
    make_yard()
    for number in range(4):
        sent = at_once(
            [
                lambda number=number: slab_add(
                    by=None, tag=f"Own {number}", species_key="oak-white", sawn_on=DAY, **BOARD
                )
            ]
            * HANDS
        )
        assert sorted(type(result).__name__ for result in sent) == ["Slab"] + ["TagTaken"] * (HANDS - 1), sent
        assert all(isinstance(result, (Slab, TagTaken)) for result in sent)


def test_undo_pressed_six_times_takes_one_row_back():
    make_yard()
    log = make_log("26-7")
    for _ in range(3):
        saw_add(by=None, log=log, client_key=uuid.uuid4(), fields=dict(BOARD))
    last = log.slabs.get(position=3)
    at_once([lambda: saw_undo(by=None, log=log, slab=Slab.objects.get(pk=last.pk))] * HANDS)
    assert log.slabs.exclude(state=SlabState.VOID).count() == 2


def test_of_six_editors_at_one_version_exactly_one_saves():
    make_yard()
    slab = saw_add(by=None, log=make_log(), client_key=uuid.uuid4(), fields=dict(BOARD))
    results = at_once(
        [lambda grade=grade: slab_change(by=None, slab=slab, version=1, grade=grade) for grade in "ABCDEF"]
    )
    saved = [result for result in results if isinstance(result, Slab)]
    assert len(saved) == 1
    assert all(isinstance(result, (Slab, ChangedMeanwhile)) for result in results), results
    slab.refresh_from_db()
    assert (slab.grade, slab.version) == (saved[0].grade, 2)


def test_six_logs_taken_in_at_once_get_a_tag_each():
    make_yard()
    sent = at_once(
        [
            lambda: log_add(
                by=None, rule="doyle", species_key="oak-white", arrived_on=DAY, small_end_in=14, length_ft=10
            )
            for _ in range(HANDS)
        ]
    )
    tags = [getattr(result, "tag", result) for result in sent]
    assert sorted(tags) == [f"26-{n}" for n in range(1, HANDS + 1)]
