"""Lines of an order: what each costs after it was answered, changed or given as another slab, worked out by hand."""

from decimal import Decimal

import pytest
from django.utils import timezone

from sales.models import LineKind, OrderState
from sales.services.order_lines import line_add_asked, line_add_other, line_change, line_replace, lines_add_slabs
from sales.services.payments import invoice_issue
from sales.services.picking import slabs_pick
from sales.services.quotes import quote_issue
from sales.services.slab_price import slab_price
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_owner, make_rule
from yard.models import Slab
from yard.services.refused import Refused


def change(line, **fields):
    line.refresh_from_db()
    asked = {"unit_price": line.unit_price, "discount_pct": line.discount_pct, "taxed": line.taxed} | fields
    return line_change(by=None, line=line, version=line.version, **asked)


@pytest.fixture
def by_the_piece(yard):
    return make_rule(price="20.00", per="slab")


def test_an_answered_line_still_costs_nothing_after_its_words_are_changed(by_the_piece):
    order = make_order(slabs=0)
    asked = line_add_asked(by=None, order=order, count=1)
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab()], answers=asked)
    assert change(asked, words="One slab").total == 0
    order.refresh_from_db()
    assert order.lines_total == Decimal("20.00")


def test_a_lot_of_ten_at_a_price_a_piece_costs_ten_pieces_everywhere(by_the_piece):
    lot = make_dry_slab(kind="lot", widths_in=[], tally=[{"width_in": 6.0, "length_in": 96.0, "count": 10}])
    assert slab_price(lot).total == Decimal("200.00")
    assert make_order(slabs=[lot]).lines_total == Decimal("200.00")


def test_a_lot_with_a_price_of_its_own_costs_that_once(yard):
    lot = make_dry_slab(
        kind="lot", widths_in=[], price=Decimal(150), tally=[{"width_in": 6.0, "length_in": 96.0, "count": 10}]
    )  # fmt: skip
    assert slab_price(lot).total == Decimal("150.00")
    assert make_order(slabs=[lot]).lines_total == Decimal("150.00")


def test_a_hand_price_on_two_pieces_asked_for_says_that_it_is_for_a_piece(yard):
    order = make_order(slabs=0)
    asked = line_add_asked(by=None, order=order, species_key="walnut-black", count=2, matched=True)
    line = change(asked, unit_price=Decimal(900))
    assert (line.per, line.quantity, line.total) == ("slab", 2, Decimal("1800.00"))


def test_a_price_taken_back_to_the_rules_keeps_the_discount(yard):
    order = make_order(slabs=0)
    line = line_add_other(by=None, order=order, words="Haulage", quantity=Decimal(1), unit_price=Decimal(100))
    assert change(line, unit_price=None, discount_pct=Decimal(10)).total == Decimal("90.00")


def test_their_slab_is_not_replaced_by_ours(yard):
    farm = make_owner("Lund farm")
    order = make_order(slabs=[make_dry_slab(owner=farm)], buyer=farm)
    with pytest.raises(Refused, match="ours"):
        line_replace(by=None, line=order.lines.get(), slab=make_dry_slab(price=Decimal(90)), because="a check")


def test_a_quoted_slab_is_not_replaced_before_the_quote_is_taken_back(yard):
    order = make_order(state=OrderState.QUOTED)
    with pytest.raises(Refused, match="take the quote back"):
        line_replace(by=None, line=order.lines.get(), slab=make_dry_slab(price=Decimal(90)), because="a check")


def test_an_order_with_another_slab_is_no_longer_ready_until_that_is_picked(yard):
    order = make_order(state=OrderState.ORDERED)
    slabs_pick(by=None, order=order, text=order.lines.get().slab.tag)
    order.refresh_from_db()
    assert order.state == OrderState.READY
    line_replace(by=None, line=order.lines.get(), slab=make_dry_slab(price=Decimal(90)), because="a check")
    order.refresh_from_db()
    assert (order.state, order.kept_on) == (OrderState.ORDERED, None)


@pytest.mark.parametrize("changed", [{"hold_back": True}, {"owner": "somebody"}])
def test_wood_that_was_taken_from_sale_meanwhile_is_not_quoted(yard, changed):
    order = make_order()
    if "owner" in changed:
        changed = {"owner": make_owner("Lund farm")}
    Slab.objects.filter(order_lines__order=order).update(**changed)
    with pytest.raises(Refused):
        quote_issue(by=None, order=order)


def test_wood_asked_for_is_invoiced_once_slabs_stand_for_it(yard):
    make_rule(price="10.00")
    order = make_order(slabs=0, buyer=make_buyer())
    line_add_asked(by=None, order=order, bf_wanted=20.0)
    quote_issue(by=None, order=order)
    order.refresh_from_db()
    order.state = OrderState.ORDERED
    order.save()
    with pytest.raises(Refused, match="add the slabs first"):
        invoice_issue(by=None, order=order)


def test_other_wood_in_an_inquiry_takes_its_promised_date_away(yard):
    order = make_order()
    order.promise_made_on = order.promise_date = order.promise_middle = timezone.localdate()
    order.save()
    lines_add_slabs(by=None, order=order, slabs=[make_dry_slab(price=Decimal(5))])
    order.refresh_from_db()
    assert order.promise_date is None
    assert order.lines.filter(kind=LineKind.SLAB).count() == 2
