"""Work on wood is charged for the slabs that are in the order, as they measure; sums worked out by hand.

A slab of `make_dry_slab` is 22 bf green and, by red oak's published shrinkage, 20.6 bf net at 8%.
"""

from decimal import Decimal

import pytest

from sales.models import OrderState
from sales.services.line_measures import lines_measure_anew, lines_price_anew
from sales.services.order_lines import (
    line_add_asked,
    line_change,
    line_replace,
    line_take_off,
    lines_add_slabs,
    lines_add_work,
)
from sales.services.order_sheet import order_sheet
from sales.services.order_terms import order_change
from sales.services.payments import invoice_issue
from sales.services.price_rules import price_rule_end, price_rule_follow
from sales.services.quotes import order_accept, quote_issue
from tests.sales.make import RULES_FROM, make_dry_slab, make_order, make_owner, make_rule
from yard.services.refused import Refused
from yard.services.slabs import slab_change

pytestmark = pytest.mark.usefixtures("yard")


@pytest.fixture
def farm():
    return make_owner("Lund farm")


def dried(farm, slabs=1):
    """An order of the farm's slabs with their drying charged at 0.50 a board foot."""
    make_rule("0.50", what="drying")
    order = make_order(slabs=[make_dry_slab(owner=farm) for _ in range(slabs)], buyer=farm)
    lines_add_work(by=None, order=order, work="drying")
    return order


def work(order):
    return [(line.words, line.total) for line in order.lines.standing().filter(kind="work")]


def test_drying_follows_slabs_that_are_added_and_taken_off(farm):
    order = dried(farm)
    assert work(order) == [("Drying: 1 piece of northern red oak 8/4", Decimal("10.30"))]
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(owner=farm)])
    order.refresh_from_db()
    assert work(order) == [("Drying: 2 pieces of northern red oak 8/4", Decimal("20.60"))]
    assert order.total == Decimal("20.60")
    for line in order.lines.standing().filter(kind="slab"):
        line_take_off(by=None, line=line)
    order.refresh_from_db()
    assert (work(order), order.total) == ([], Decimal(0))


def test_drying_keeps_its_price_when_a_slab_comes_after_the_price_rose(farm):
    order = dried(farm)
    rule = order.lines.get(kind="work").rule
    price_rule_follow(
        by=None, rule=rule, version=rule.version, price=Decimal("0.60"), valid_from=RULES_FROM.replace(month=2)
    )
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(owner=farm)])
    assert [total for _, total in work(order)] == [Decimal("10.30"), Decimal("12.36")]
    lines_price_anew(by=None, order=order)
    assert [total for _, total in work(order)] == [Decimal("24.72")]  # 41.2 bf x 0.60


def test_slab_joins_work_that_is_priced_by_hand(farm):
    order = dried(farm)
    line = order.lines.get(kind="work")
    line_change(
        by=None, line=line, version=1, unit_price=Decimal("0.40"), discount_pct=Decimal(0), taxed=True,
        words="Drying as agreed at the gate",
    )  # fmt: skip
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(owner=farm)])
    assert work(order) == [("Drying as agreed at the gate", Decimal("16.48"))]  # 41.2 bf x 0.40


def test_work_priced_by_hand_goes_back_to_its_rule(farm):
    order = dried(farm)
    line = order.lines.get(kind="work")
    fields = {"discount_pct": Decimal(10), "taxed": True}
    line = line_change(by=None, line=line, version=1, unit_price=Decimal("0.40"), **fields)
    line = line_change(by=None, line=line, version=line.version, unit_price=None, **fields)
    assert (line.unit_price, line.priced_by_hand, line.total) == (Decimal("0.50"), False, Decimal("9.27"))
    rule = line.rule
    price_rule_end(by=None, rule=rule, version=rule.version, on=RULES_FROM)
    with pytest.raises(Refused, match="No single rule"):
        line_change(by=None, line=line, version=line.version, unit_price=None, **fields)


def test_slab_that_no_rule_prices_makes_a_line_without_a_price_and_no_quote(farm):
    make_rule("0.50", what="drying", species_key="oak-northern-red")
    order = make_order(slabs=[make_dry_slab(owner=farm)], buyer=farm)
    lines_add_work(by=None, order=order, work="drying")
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(owner=farm, species_key="walnut-black")])
    with pytest.raises(Refused, match="No price yet for Drying: 1 piece of black walnut"):
        quote_issue(by=None, order=order)


def test_slab_measured_again_is_told_and_not_quoted_until_it_is_charged_so(farm):
    """Measured 14 in x 8 ft of 8/4 it is 18.67, so 18.7 bf: drying 9.35."""
    order = dried(farm)
    slab = order.lines.get(kind="slab").slab
    slab_change(by=None, slab=slab, version=slab.version, dry_widths_in=[14.0] * 3, dry_length_in=96.0)
    said = order_sheet(order).measured_otherwise
    assert "measures 18.7 bf" in said[0]
    assert said[1] == "Drying: 1 piece of northern red oak 8/4 is charged for 20.6 bf, the slabs come to 18.7 bf"
    for step in (quote_issue, order_accept):
        with pytest.raises(Refused, match="Charge what it measures"):
            step(by=None, order=order)
    lines_measure_anew(by=None, order=order)
    assert work(order) == [("Drying: 1 piece of northern red oak 8/4", Decimal("9.35"))]
    assert order_sheet(order).measured_otherwise == ()
    order_accept(by=None, order=order)


def test_slab_that_came_after_the_order_is_told_as_not_charged_until_somebody_says_so():
    make_rule("10.00")
    make_rule("0.50", what="drying")
    order = make_order(slabs=1)
    lines_add_work(by=None, order=order, work="drying")
    asked = line_add_asked(by=None, order=order, species_key="oak-northern-red", count=1, quarters=8.0,
                           min_width_in=10.0, length_in=96.0)  # fmt: skip
    order_accept(by=None, order=order)
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab()], answers=asked)
    assert work(order)[0][1] == Decimal("10.30")
    assert order_sheet(order).measured_otherwise == (
        "Drying: 1 piece of northern red oak 8/4 is charged for 20.6 bf, the slabs come to 41.2 bf",
    )
    lines_measure_anew(by=None, order=order)
    assert work(order)[0][1] == Decimal("20.60")


def test_work_on_a_replaced_slab_is_charged_for_the_other():
    make_rule("0.50", what="drying")
    order = make_order(slabs=1)
    lines_add_work(by=None, order=order, work="drying")
    order_accept(by=None, order=order)
    other = make_dry_slab(dry_widths_in=[12.0] * 3, dry_length_in=96.0)  # 16 bf
    line_replace(by=None, line=order.lines.get(kind="slab"), slab=other, because="a check")
    assert work(order) == [("Drying: 1 piece of northern red oak 8/4", Decimal("8.00"))]
    assert order_sheet(order).measured_otherwise == ()


def test_other_terms_change_the_footage_of_all_lines_and_no_price(farm):
    """Gross instead of net: 22 bf. A slab priced 9.00 by hand costs 198.00, drying 11.00."""
    make_rule("0.50", what="drying")
    order = make_order(slabs=[make_dry_slab()])
    line = order.lines.get()
    line_change(by=None, line=line, version=1, unit_price=Decimal(9), discount_pct=Decimal(0), taxed=True)
    lines_add_work(by=None, order=order, work="drying")
    order.refresh_from_db()
    assert order.total == Decimal("195.70")  # 20.6 x 9.00 + 20.6 x 0.50
    order = order_change(by=None, order=order, version=order.version, basis="gross")
    assert order.total == Decimal("209.00")
    assert [(one.bf_how, one.unit_price) for one in order.lines.standing()] == [
        ("gross, as sawn", Decimal(9)), ("gross, as sawn", Decimal("0.50")),
    ]  # fmt: skip
    order = order_change(by=None, order=order, version=order.version, basis="net", rounding="whole")
    assert order.total == Decimal("199.50")  # 21 x 9.00 + 21 x 0.50
    assert order.state == OrderState.INQUIRY


def test_nothing_is_added_to_an_invoiced_order():
    make_rule("10.00")
    order = make_order(slabs=0)
    asked = line_add_asked(by=None, order=order, bf_wanted=20.0)
    order_accept(by=None, order=order)
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab()], answers=asked)
    invoice = invoice_issue(by=None, order=order)
    with pytest.raises(Refused, match=rf"invoiced \({invoice.number}\).*new order"):
        lines_add_slabs(by=None, order=order, slabs=[make_dry_slab()], answers=asked)


def test_slab_without_a_price_does_not_come_into_an_order_for_nothing():
    """The line as asked for has no price of its own once a slab answers it: another slab needs one."""
    order = make_order(slabs=0)
    asked = line_add_asked(by=None, order=order, count=1)
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(price=Decimal(100))], answers=asked)
    order_accept(by=None, order=order)
    bare = make_dry_slab("W-9")
    with pytest.raises(Refused, match="Nothing gives a price for W-9"):
        lines_add_slabs(by=None, order=order, slabs=[bare], answers=asked)


def test_work_that_no_rule_prices_is_not_charged_for_nothing_after_the_order():
    make_rule("0.50", what="drying", species_key="oak-northern-red")
    make_rule("10.00")
    order = make_order(slabs=1)
    lines_add_work(by=None, order=order, work="drying")
    asked = line_add_asked(by=None, order=order, species_key="walnut-black", bf_wanted=20.0)
    order_accept(by=None, order=order)
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(species_key="walnut-black")], answers=asked)
    assert "is not charged yet" in order_sheet(order).measured_otherwise[0]
    with pytest.raises(Refused, match="No rule says what this costs: Drying: 1 piece of black walnut"):
        lines_measure_anew(by=None, order=order)
