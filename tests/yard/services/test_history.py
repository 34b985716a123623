"""Who changed what."""

from datetime import date
from decimal import Decimal

from tests.make import make_yard
from yard.services.history import changes_between, history_add, snapshot


def test_change_is_kept_with_before_and_after(owner):
    yard = make_yard(name="Before")
    before = snapshot(yard)
    yard.name, yard.tax_pct = "After", Decimal("5.5")
    line = history_add(yard, by=owner, action="changed", changes=changes_between(before, snapshot(yard)))
    line.refresh_from_db()
    assert line.changes == {"name": ["Before", "After"], "tax_pct": ["0", "5.5"]}
    assert (line.table, line.row_id, line.row_label, line.by) == ("yard", 1, "After", owner)


def test_passwords_never_come_into_the_history(owner):
    line = history_add(owner, by=owner, action="changed", changes={"password": ["a", "b"], "role": ["hand", "owner"]})
    assert line.changes == {"role": ["hand", "owner"]}
    assert "password" not in snapshot(owner)


def test_dates_and_money_are_kept_as_text(owner):
    changes = {"on": [None, date(2026, 3, 2)], "sum": [Decimal("1.10"), 2]}
    line = history_add(owner, by=None, action="changed", changes=changes)
    assert line.changes == {"on": [None, "2026-03-02"], "sum": ["1.1", 2]}
