"""The rule that asks for most wins, a price says which it was, and old quotes keep theirs."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from sales.models import PriceRule
from sales.services.line_measures import lines_price_anew
from sales.services.price_book import PriceBook, Wood
from sales.services.price_rules import price_rule_change, price_rule_end, price_rule_follow, price_rules
from sales.services.quotes import quote_issue, quote_take_back
from tests.make import make_slab
from tests.sales.make import make_dry_slab, make_order, make_rule
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused

OAK, WALNUT = "oak-northern-red", "walnut-black"
DAY = date(2026, 3, 2)
pytestmark = pytest.mark.usefixtures("yard")


def priced(wood, on=DAY, what="wood"):
    book = PriceBook(on=on)
    return book.price_of(wood) if what == "wood" else book.charge(what, wood)


def test_rule_that_asks_for_most_wins_whatever_it_costs():
    make_rule("4.00")
    make_rule("6.00", species_key=OAK)
    make_rule("8.00", species_key=OAK, quarters=8)
    make_rule("7.50", species_key=OAK, quarters=8, width_from_in=16)
    wide, narrow = Wood(OAK, 8, width_in=16.0), Wood(OAK, 8, width_in=15.99)
    assert priced(wide).amount == Decimal("7.5")
    assert priced(narrow).amount == Decimal(8)
    assert priced(Wood(OAK, 4)).amount == Decimal(6)
    assert priced(Wood(WALNUT, 8)).amount == Decimal(4)


def test_of_as_many_conditions_species_goes_before_thickness():
    make_rule("5.00", quarters=8)
    make_rule("6.00", species_key=OAK)
    assert priced(Wood(OAK, 8)).amount == Decimal(6)


def test_named_figure_goes_before_any_figure():
    make_rule("9.00", species_key=OAK, figure="*")
    make_rule("14.00", species_key=OAK, figure="curl")
    assert priced(Wood(OAK, figure="Strong curl")).amount == Decimal(14)
    assert priced(Wood(OAK, figure="spalt")).amount == Decimal(9)
    assert priced(Wood(OAK)) is None


def test_class_runs_from_its_size_to_under_the_next():
    make_rule("5.00", length_from_in=96, length_under_in=120)
    assert priced(Wood(OAK, length_in=96.0)).amount == Decimal(5)
    assert priced(Wood(OAK, length_in=120.0)) is None
    assert priced(Wood(OAK)) is None, "a length that nobody knows is in no class"


def test_grade_and_kind_are_asked_as_written():
    make_rule("5.00", grade="FAS", kind="board")
    assert priced(Wood(OAK, grade="fas", kind="board")).amount == Decimal(5)
    assert priced(Wood(OAK, grade="1C", kind="board")) is None


def test_price_of_its_own_goes_before_every_rule():
    make_rule("8.00", species_key=OAK)
    book = PriceBook(on=DAY)
    own = book.price(make_slab(price=Decimal("250.00")))
    by_rule = book.price(make_slab())
    assert (own.amount, own.per, own.rule) == (Decimal("250.00"), "slab", None)
    assert (by_rule.amount, by_rule.per) == (Decimal(8), "bf")


def test_price_says_which_rule_made_it():
    rule = make_rule("8.00", species_key=OAK, quarters=8, width_from_in=20)
    found = priced(Wood(OAK, 8, width_in=22.0))
    assert found.rule == rule
    assert found.words == 'Northern red oak, 8/4, 20 in and more wide, from 1 Jan 2025'


def test_new_price_counts_from_its_day_and_the_old_one_until_then():
    old = make_rule("8.00", species_key=OAK)
    new = price_rule_follow(by=None, rule=old, version=1, price=Decimal("9.25"), valid_from=DAY)
    assert priced(Wood(OAK), on=DAY - timedelta(days=1)).amount == Decimal(8)
    assert priced(Wood(OAK), on=DAY).rule == new


def test_old_quote_keeps_its_price_and_its_rule(owner):
    """Only pricing anew, by somebody who asks for it, brings the new price in."""
    rule = make_rule("10.00", species_key=OAK)
    slab = make_dry_slab()
    order = make_order(slabs=[slab])
    document = quote_issue(by=owner, order=order)
    before = document.figures["total"]
    price_rule_follow(by=owner, rule=rule, version=1, price=Decimal("20.00"), valid_from=timezone.localdate())
    order.refresh_from_db()
    document.refresh_from_db()
    line = order.lines.get()
    assert (str(order.total), document.figures["total"]) == (before, before)
    assert (line.rule, line.unit_price) == (rule, Decimal(10))
    quote_take_back(by=owner, order=order)
    lines_price_anew(by=owner, order=order)
    order.refresh_from_db()
    assert order.total == Decimal(before) * 2


def test_rule_that_priced_an_order_is_not_changed_in_place():
    rule = make_rule("10.00", species_key=OAK)
    make_order(slabs=[make_dry_slab()])
    with pytest.raises(Refused, match="from a day"):
        price_rule_change(by=None, rule=rule, version=1, price=Decimal(1))
    fresh = make_rule("11.00", species_key=WALNUT)
    assert price_rule_change(by=None, rule=fresh, version=1, price=Decimal(12)).price == Decimal(12)


def test_two_people_changing_one_rule_notice_each_other():
    rule = make_rule()
    price_rule_change(by=None, rule=rule, version=1, note="first")
    with pytest.raises(ChangedMeanwhile):
        price_rule_end(by=None, rule=rule, version=1, on=DAY)


def test_ended_rule_counts_no_more():
    rule = make_rule(species_key=OAK)
    price_rule_end(by=None, rule=rule, version=1, on=DAY)
    assert priced(Wood(OAK), on=DAY) is None
    assert priced(Wood(OAK), on=DAY - timedelta(days=1)) is not None
    assert list(price_rules(on=DAY)) == []
    assert list(price_rules(on=DAY, past=True)) == [rule]


@pytest.mark.parametrize(
    ("fields", "field"),
    [({"width_from_in": 20, "width_under_in": 12}, "width_under_in"), ({"species_key": OAK}, "valid_from")],
)
def test_rule_that_cannot_be_is_refused_beside_its_field(fields, field):
    make_rule(species_key=OAK)
    with pytest.raises(Refused) as error:
        make_rule(**fields)
    assert error.value.field == field
    assert PriceRule.objects.count() == 1


def test_follow_up_begins_after_the_rule_it_follows():
    rule = make_rule()
    with pytest.raises(Refused, match="later day"):
        price_rule_follow(by=None, rule=rule, version=1, price=Decimal(1), valid_from=rule.valid_from)


def test_charge_for_drying_is_a_rule_of_its_own():
    make_rule("8.00")
    make_rule("0.45", what="drying", minimum=Decimal(60))
    found = priced(Wood(OAK), what="drying")
    assert (found.amount, found.minimum) == (Decimal("0.45"), Decimal(60))
    assert priced(Wood(OAK), what="planing") is None


def test_all_rules_of_a_day_are_read_in_one_query(django_assert_num_queries):
    for quarters in range(4, 13):
        make_rule(f"{quarters}.00", quarters=quarters)
    slabs = [make_slab() for _ in range(20)]
    with django_assert_num_queries(1):
        book = PriceBook(on=DAY)
        assert {book.price(slab).amount for slab in slabs} == {Decimal(8)}
