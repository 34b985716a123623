"""From inquiry to the wood that goes: what each step does, and what it refuses."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from sales.models import Order, OrderLine, OrderState, Reservation
from sales.services.deliveries import delivery_undo, order_deliver
from sales.services.line_measures import lines_measure_anew
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
from sales.services.orders import order_cancel
from sales.services.payments import invoice_issue
from sales.services.picking import pick_undo, slabs_pick
from sales.services.quotes import order_accept, quote_issue, quote_take_back
from sales.services.reservations import Taken
from sales.services.sale_settings import sale_settings_change
from tests.make import make_bay, make_slab, make_stack
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_owner, make_rule
from yard.models import AppendOnlyError, History, Slab, SlabState
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.placement_check import placement_faults
from yard.services.refused import Refused
from yard.services.slabs import Piece, slab_change, slab_split, slab_void

pytestmark = pytest.mark.usefixtures("yard")


def state_of(slab):
    return Slab.objects.get(pk=slab.pk).state


def test_orders_of_a_year_are_numbered_one_after_another():
    first = make_order(slabs=0, asked_on=date(2026, 1, 5))
    make_order(slabs=0, asked_on=date(2025, 12, 30))
    second = make_order(slabs=0, asked_on=date(2026, 2, 5))
    assert (first.number, second.number) == ("2026-001", "2026-002")


def test_inquiry_to_delivery_step_by_step(owner, hand):
    slab = make_dry_slab("W-1", price=Decimal("310.00"))
    order = make_order(slabs=[slab])
    quote = quote_issue(by=owner, order=order)
    order_accept(by=owner, order=order)
    picked = slabs_pick(by=hand, order=order, text=f"https://yard.local/C/{slab.code}")
    order.refresh_from_db()
    assert (picked.left, order.state) == (0, OrderState.READY)
    note = order_deliver(by=hand, order=order)
    order.refresh_from_db()
    assert (order.state, state_of(slab)) == (OrderState.DELIVERED, SlabState.SOLD)
    assert quote.number.startswith("Q-")
    assert note.figures["lines"][0]["tag"] == "W-1"
    words = list(History.objects.filter(table="order", row_id=order.pk).order_by("id").values_list("action", flat=True))
    assert words == ["added", "slabs added", "quoted", "ordered", "ready", "delivered"]
    assert placement_faults() == []


def test_second_quote_for_the_same_slab_is_refused_with_who_has_it():
    slab = make_dry_slab("W-1", price=Decimal(310))
    anna, ben = make_buyer("Anna Lind"), make_buyer("Ben Moor")
    first = make_order(slabs=[slab], buyer=anna)
    second = make_order(slabs=[slab], buyer=ben)
    quote_issue(by=None, order=first)
    with pytest.raises(Taken, match=r"W-1 is promised to Anna Lind, order .*, until"):
        quote_issue(by=None, order=second)
    second.refresh_from_db()
    assert second.state == OrderState.INQUIRY
    with pytest.raises(Taken):
        make_order(slabs=[slab], buyer=ben)


def test_all_slabs_of_an_order_are_promised_or_none():
    free, taken = make_dry_slab(price=Decimal(1)), make_dry_slab(price=Decimal(1))
    both = make_order(slabs=[free, taken])
    make_order(slabs=[taken], state=OrderState.ORDERED)
    with pytest.raises(Taken):
        order_accept(by=None, order=both)
    assert not Reservation.objects.live().filter(slab=free).exists()


def test_quote_that_ran_out_makes_way_for_the_next_buyer():
    slab = make_dry_slab(price=Decimal(310))
    first = make_order(slabs=[slab], state=OrderState.QUOTED)
    past = timezone.localdate() - timedelta(days=1)
    Reservation.objects.update(expires_on=past)
    Order.objects.filter(pk=first.pk).update(valid_until=past)
    make_order(slabs=[slab], state=OrderState.ORDERED)
    assert Reservation.objects.live().get().line.order != first
    with pytest.raises(Refused, match="held until"):
        order_accept(by=None, order=first)


def test_hold_counts_on_its_last_day_and_is_let_go_after_it():
    make_order(state=OrderState.QUOTED)
    last = Reservation.objects.get().expires_on
    after = last + timedelta(days=1)
    assert (Reservation.objects.holding(last).count(), Reservation.objects.run_out(last).count()) == (1, 0)
    assert (Reservation.objects.holding(after).count(), Reservation.objects.run_out(after).count()) == (0, 1)


def test_yard_may_choose_that_quotes_hold_nothing():
    sale_settings_change(by=None, version=1, quotes_hold=False)
    make_order(state=OrderState.QUOTED)
    assert Reservation.objects.count() == 0


def test_cancelled_order_lets_its_slabs_go(owner):
    slab = make_dry_slab(price=Decimal(310))
    order = make_order(slabs=[slab], state=OrderState.ORDERED)
    with pytest.raises(Refused, match="why"):
        order_cancel(by=owner, order=order, reason="  ")
    order_cancel(by=owner, order=order, reason="found another yard")
    assert make_order(slabs=[slab], state=OrderState.ORDERED).state == OrderState.ORDERED
    assert Reservation.objects.filter(release_reason=f"order {order.number} cancelled").count() == 1


def test_figures_of_an_issued_quote_stay_whatever_is_changed_later(owner):
    order = make_order(slabs=1, price="310.00")
    quote = quote_issue(by=owner, order=order)
    quote_take_back(by=owner, order=order)
    line = order.lines.get()
    line_change(by=owner, line=line, version=line.version, unit_price=Decimal(1), discount_pct=Decimal(0), taxed=True)
    second = quote_issue(by=owner, order=order)
    quote.refresh_from_db()
    assert (quote.figures["total"], second.figures["total"]) == ("310.00", "1.00")
    quote.figures["total"] = "9.99"
    with pytest.raises(AppendOnlyError):
        quote.save()


def test_quoted_order_is_not_changed_behind_the_buyers_back(owner):
    order = make_order(state=OrderState.QUOTED)
    with pytest.raises(Refused, match="take the quote back"):
        order_change(by=owner, order=order, version=order.version, discount_pct=Decimal(5))
    with pytest.raises(Refused, match="take the quote back"):
        line_take_off(by=owner, line=order.lines.get())
    assert order_change(by=owner, order=order, version=order.version, own_note="likes curl").own_note == "likes curl"


def test_two_people_changing_one_order_notice_each_other(owner):
    order = make_order()
    order_change(by=owner, order=order, version=order.version, note="one")
    with pytest.raises(ChangedMeanwhile):
        order_change(by=owner, order=order, version=order.version, note="two")


def test_line_without_a_price_is_not_quoted():
    order = make_order(slabs=[make_dry_slab()])
    with pytest.raises(Refused, match="No price yet"):
        quote_issue(by=None, order=order)
    line = order.lines.get()
    line_change(by=None, line=line, version=1, unit_price=Decimal("9.00"), discount_pct=Decimal(0), taxed=True)
    assert quote_issue(by=None, order=order).figures["total"] == "185.40"  # 20.6 bf net x 9.00


def test_empty_inquiry_is_not_quoted():
    with pytest.raises(Refused, match="nothing in it"):
        quote_issue(by=None, order=make_order(slabs=0))


def test_wood_of_others_held_back_or_gone_is_not_sold():
    order = make_order(slabs=0)
    theirs = make_dry_slab(owner=make_owner("Lund farm"), price=Decimal(1))
    held = make_dry_slab(hold_back=True, price=Decimal(1))
    sold = make_dry_slab(price=Decimal(1))
    Slab.objects.filter(pk=sold.pk).update(state=SlabState.SOLD)
    for slab, words in ((theirs, "belongs to Lund farm"), (held, "not for sale"), (sold, "is sold")):
        with pytest.raises(Refused, match=words):
            lines_add_slabs(by=None, order=order, slabs=[slab])


def test_other_peoples_wood_is_charged_for_drying_and_handed_back(owner):
    """Two slabs of 20.6 bf net at 0.45 come to 18.54, under the least of 60; planing at 0.30 to 12.36."""
    farm = make_owner("Lund farm")
    make_rule("0.45", what="drying", minimum=Decimal(60))
    make_rule("0.30", what="planing")
    slabs = [make_dry_slab(owner=farm) for _ in range(2)]
    order = make_order(slabs=slabs, buyer=farm)
    (drying,) = lines_add_work(by=owner, order=order, work="drying")
    (planing,) = lines_add_work(by=owner, order=order, work="planing")
    assert (drying.quantity, drying.total) == (Decimal("41.2"), Decimal("60.00"))
    assert planing.total == Decimal("12.36")
    order_accept(by=owner, order=order)
    order_deliver(by=owner, order=order, unscanned=True)
    order.refresh_from_db()
    assert order.total == Decimal("72.36")
    assert [state_of(slab) for slab in slabs] == [SlabState.RETURNED] * 2


def test_work_is_charged_once_and_by_a_rule():
    order = make_order()
    with pytest.raises(Refused, match="No rule says"):
        lines_add_work(by=None, order=order, work="drying")
    make_rule("0.45", what="drying")
    lines_add_work(by=None, order=order, work="drying")
    with pytest.raises(Refused, match="charged already"):
        lines_add_work(by=None, order=order, work="drying")


def test_slabs_that_answer_wood_as_asked_for_carry_the_price(owner):
    """150 bf asked at 8.00 is 1200; the slabs that answer it after the order are charged at those 8.00 a foot."""
    rule = make_rule("8.00", species_key="oak-northern-red")
    order = make_order(slabs=0)
    asked = line_add_asked(
        by=owner, order=order, species_key="oak-northern-red", quarters=5.0, bf_wanted=150.0, grade="1C",
        min_width_in=6.0,
    )  # fmt: skip
    assert asked.words == '150 bf of 5/4 northern red oak, 6 in and wider, 1C and better'
    assert asked.total == Decimal("1200.00")
    order_accept(by=owner, order=order)
    slab = make_dry_slab(price=Decimal(999))
    (line,) = lines_add_slabs(by=owner, order=order, slabs=[slab], answers=asked)
    order.refresh_from_db()
    assert (line.unit_price, line.rule, order.total) == (Decimal(8), rule, Decimal("164.80"))  # 20.6 x 8
    with pytest.raises(Refused, match=r"129\.4 of 150 bf missing"):
        order_deliver(by=owner, order=order, unscanned=True)


def test_asked_for_by_the_piece_needs_its_pieces():
    order = make_order(slabs=0)
    with pytest.raises(Refused, match="How many"):
        line_add_asked(by=None, order=order, species_key="walnut-black")
    line = line_add_asked(
        by=None, order=order, species_key="walnut-black", quarters=8.0, count=2, matched=True, length_in=96.0
    )
    assert line.words == "matched pair of 8/4 black walnut, 8' and longer"


def test_wood_asked_for_without_a_width_is_not_quoted_for_nothing():
    """A price by the foot needs the feet: 2 pieces of 8/4, 18 in x 8 ft at least, are 2 x 2 x 18 x 96 / 144 = 48 bf."""
    make_rule("15.00", species_key="walnut-black")
    asked = {"species_key": "walnut-black", "quarters": 8.0, "count": 2, "length_in": 96.0}
    order = make_order(slabs=0)
    open_width = line_add_asked(by=None, order=order, **asked)
    assert not open_width.is_priced
    with pytest.raises(Refused, match="No price yet"):
        quote_issue(by=None, order=order)
    with_width = line_add_asked(by=None, order=make_order(slabs=0), min_width_in=18.0, **asked)
    assert (with_width.bf, with_width.total) == (48.0, Decimal("720.00"))


def test_replaced_slab_is_free_and_the_price_of_a_foot_stays(owner):
    make_rule("10.00", species_key="oak-northern-red")
    old, new = make_dry_slab("W-1"), make_dry_slab("W-2", dry_widths_in=[12.0] * 3, dry_length_in=96.0)
    order = make_order(slabs=[old], state=OrderState.ORDERED)
    line = line_replace(by=owner, line=order.lines.get(), slab=new, because="checked at the end")
    order.refresh_from_db()
    assert (line.bf, line.total, order.total) == (16.0, Decimal("160.00"), Decimal("160.00"))
    assert set(Reservation.objects.live().values_list("slab__tag", flat=True)) == {"W-2"}
    assert list(order.lines.standing()) == [line]
    assert line.instead_of.gone_because == "checked at the end"


def test_slab_promised_to_somebody_else_does_not_replace_another():
    taken = make_dry_slab("W-9", price=Decimal(1))
    make_order(slabs=[taken], state=OrderState.ORDERED)
    order = make_order(state=OrderState.ORDERED)
    with pytest.raises(Taken, match="W-9 is promised"):
        line_replace(by=None, line=order.lines.get(), slab=taken, because="wider")
    assert order.lines.standing().count() == 1


def test_wrong_slab_is_told_when_it_is_scanned(hand):
    other = make_dry_slab("W-7", price=Decimal(1))
    make_order(slabs=[other], buyer=make_buyer("Anna Lind"), state=OrderState.ORDERED)
    order = make_order(state=OrderState.ORDERED)
    with pytest.raises(Refused, match="W-7 is not in this order: it is for Anna Lind"):
        slabs_pick(by=hand, order=order, text="W-7")
    with pytest.raises(Refused, match="tag or code ZZ"):
        slabs_pick(by=hand, order=order, text="ZZ")


def test_mark_taken_back_makes_the_order_not_ready(hand):
    order = make_order(state=OrderState.ORDERED)
    line = order.lines.get()
    slabs_pick(by=hand, order=order, text=line.slab.tag)
    again = slabs_pick(by=hand, order=order, text=line.slab.tag)
    assert (len(again.lines), len(again.before)) == (0, 1)
    pick_undo(by=hand, line=line)
    order.refresh_from_db()
    assert (order.state, order.kept_on) == (OrderState.ORDERED, None)


def test_order_with_unpicked_slabs_does_not_go_unless_somebody_says_so(hand):
    order = make_order(state=OrderState.ORDERED)
    with pytest.raises(Refused, match="Not picked yet"):
        order_deliver(by=hand, order=order)
    order_deliver(by=hand, order=order, unscanned=True)


def test_slab_that_stands_in_a_stack_is_taken_out_when_it_goes(hand):
    slabs = [make_dry_slab(price=Decimal(5)) for _ in range(2)]
    make_stack(slabs=slabs, bay=make_bay(kind="dry_store"))
    order = make_order(slabs=slabs[:1], state=OrderState.ORDERED)
    order_deliver(by=hand, order=order, unscanned=True)
    gone = Slab.objects.get(pk=slabs[0].pk)
    assert (gone.stack, gone.bay, gone.state) == (None, None, SlabState.SOLD)
    assert placement_faults() == []


def test_delivery_by_mistake_is_taken_back(owner):
    order = make_order(state=OrderState.ORDERED)
    slab = order.lines.get().slab
    order_deliver(by=owner, order=order, unscanned=True)
    delivery_undo(by=owner, order=order, because="wrong order")
    order.refresh_from_db()
    assert (order.state, state_of(slab)) == (OrderState.READY, SlabState.DRY)
    assert order_deliver(by=owner, order=order, unscanned=True).number.endswith("-002")


def test_delivered_or_invoiced_order_keeps_its_slabs(owner):
    order = make_order(state=OrderState.ORDERED)
    invoice_issue(by=owner, order=order)
    with pytest.raises(Refused, match="invoiced"):
        line_replace(by=owner, line=order.lines.get(), slab=make_dry_slab(), because="x")
    order_deliver(by=owner, order=order, unscanned=True)
    with pytest.raises(Refused, match="delivered"):
        order_cancel(by=owner, order=order, reason="x")


def test_quoting_takes_as_many_queries_for_twenty_slabs_as_for_two(owner):
    """The history's words grow, the work of the database does not."""
    asked = []
    for pieces in (2, 20):
        slabs, order = [make_dry_slab(price=Decimal(10)) for _ in range(pieces)], make_order(slabs=0)
        with CaptureQueriesContext(connection) as queries:
            lines_add_slabs(by=owner, order=order, slabs=slabs)
            quote_issue(by=owner, order=order)
        asked.append(len(queries))
    assert asked[0] == asked[1] < 50
    assert OrderLine.objects.count() == 22


def test_promised_slab_is_not_split_voided_or_given_away(owner):
    slab = make_dry_slab("W-1", price=Decimal(1))
    order = make_order(slabs=[slab], buyer=make_buyer("Anna Lind"), state=OrderState.ORDERED)
    slab.refresh_from_db()
    piece = Piece(thickness_in=2.0, length_in=40.0, widths_in=(10.0,))
    attempts = (
        lambda: slab_void(by=owner, slab=slab, reason="a slip"),
        lambda: slab_split(by=owner, slab=slab, pieces=[piece]),
        lambda: slab_change(by=owner, slab=slab, version=slab.version, owner=make_owner()),
    )
    for attempt in attempts:
        with pytest.raises(Refused, match=r"W-1 is promised to Anna Lind.*out of that order first"):
            attempt()
    order_cancel(by=owner, order=order, reason="changed plans")
    assert slab_void(by=owner, slab=slab, reason="a slip").state == SlabState.VOID


def test_slab_that_went_another_way_is_not_promised_any_more(owner):
    slab = make_dry_slab("W-1", price=Decimal(1))
    order = make_order(slabs=[slab])
    slab_void(by=owner, slab=slab, reason="a slip")
    with pytest.raises(Refused, match="is void"):
        order_accept(by=owner, order=order)


def test_wood_quoted_before_it_was_dry_is_charged_by_what_it_measures_dry(owner):
    """Expected 20.6 bf at 10.00; dried and measured 14 in all along and 8 ft of 8/4, it is 18.67, so 18.7 bf."""
    make_rule("10.00", species_key="oak-northern-red")
    slab = make_slab("W-1")
    order = make_order(slabs=[slab], state=OrderState.ORDERED)
    line = order.lines.get()
    assert (line.bf, line.bf_how) == (20.6, "net, expected at 8%")
    assert order_sheet(order).measured_otherwise == ()
    slab_change(by=owner, slab=slab, version=slab.version, dry_widths_in=[14.0] * 3, dry_length_in=96.0)
    assert "W-1 measures 18.7 bf" in order_sheet(order).measured_otherwise[0]
    lines_measure_anew(by=owner, order=order)
    order.refresh_from_db()
    assert order.total == Decimal("187.00")
    assert order_sheet(order).measured_otherwise == ()
    invoice_issue(by=owner, order=order)
    with pytest.raises(Refused, match="invoiced"):
        lines_measure_anew(by=owner, order=order)
