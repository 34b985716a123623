"""The work of each day, done by the server itself."""

import os
import zoneinfo
from datetime import UTC, datetime

import pytest

from tests.make import make_stack
from yard.serving import daily

CHICAGO = zoneinfo.ZoneInfo("America/Chicago")


@pytest.mark.parametrize(
    ("after", "due"),
    [
        (datetime(2026, 3, 2, 9, 59, tzinfo=UTC), datetime(2026, 3, 2, 10, tzinfo=UTC)),  # 3:59 in Chicago
        (datetime(2026, 3, 2, 10, 1, tzinfo=UTC), datetime(2026, 3, 3, 10, tzinfo=UTC)),  # 4:01
        (datetime(2026, 3, 8, 3, 0, tzinfo=UTC), datetime(2026, 3, 8, 9, tzinfo=UTC)),  # the clock goes forward
    ],
)
def test_next_time_is_four_in_the_morning_by_the_yards_clock(after, due):
    assert daily.next_time(after, CHICAGO) == due


def test_day_done_brings_estimates_up_to_the_day(transactional_db):
    from tests.make import make_yard

    make_yard()
    stack = make_stack(slabs=1)
    assert daily.day_done() == 1
    assert stack.cohorts.get().estimate is not None
    assert daily.day_done() == 0


def test_fault_of_a_day_does_not_end_the_server(transactional_db, caplog):
    def broken():
        raise RuntimeError("no room")

    assert daily.day_done(broken) == 0
    assert "no room" in caplog.text


def test_every_day_ends_when_its_parent_is_gone(transactional_db, monkeypatch):
    monkeypatch.setattr(daily, "day_done", lambda also: None)
    daily.every_day(parent=os.getppid() + 1)
