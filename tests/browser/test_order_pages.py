"""An order in a real browser: asked, quoted, ordered, picked by scan, gone, part paid; the second buyer refused."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from sales.models import Document, Order, OrderState
from sales.services.order_lines import line_add_asked
from sales.services.payments import payment_record
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_owner, make_rule
from yard.models import Slab, SlabState


def asked_by(page, name):
    """Write down an inquiry of somebody new."""
    page.goto("/sales/orders/new/")
    page.get_by_label("Name of somebody new").fill(name)
    page.get_by_role("button", name="Write it down").click()


def wood_as_asked_for(page, typed, choices=(), ticked=()):
    page.get_by_role("link", name="Wood as asked for").click()
    for label, text in typed.items():
        page.get_by_label(label, exact=False).first.fill(text)
    for label, text in choices:
        page.get_by_label(label, exact=False).first.select_option(label=text)
    for label in ticked:
        page.get_by_label(label, exact=False).check()
    page.get_by_role("button", name="Add it").click()


def test_order_goes_its_whole_way_at_the_desk_and_on_the_phone(open_page, browser_owner):
    slabs = [make_dry_slab(tag, price=Decimal(price)) for tag, price in (("W-1", "310.00"), ("W-2", "290.00"))]
    desk = open_page(DESK, person=browser_owner)
    asked_by(desk, "Anna Lind")
    desk.get_by_label("Slabs").fill("W-1 W-2")
    desk.get_by_role("button", name="Add slabs").click()
    expect(desk.get_by_role("row", name="Total $600.00")).to_be_visible()
    desk.get_by_role("link", name="Quote it").click()
    desk.get_by_role("button", name="Issue the quote").click()
    expect(desk.get_by_text("The quote is issued")).to_be_visible()
    desk.get_by_role("button", name="The buyer says yes").click()
    order = Order.objects.get()
    phone = open_page(PHONE, person=browser_owner, has_touch=True)
    phone.goto(f"/sales/orders/{order.pk}/pick/")
    phone.get_by_label("Tag or code").fill(f"HTTPS://YARD.LOCAL/C/{slabs[0].code}")  # as a scanner types it
    phone.keyboard.press("Enter")
    expect(phone.get_by_text("W-1 picked. 1 to go.")).to_be_visible()
    phone.goto(f"/c/{slabs[1].code}/")  # as the phone's own camera opens the label
    phone.get_by_role("button", name="I have it").tap()
    expect(phone.get_by_text("That was the last one.")).to_be_visible()
    phone.get_by_role("link", name="The wood goes").tap()
    phone.get_by_role("button", name="It is gone").tap()
    expect(phone.get_by_role("button", name="It is gone")).to_have_count(0)
    desk.reload()
    desk.get_by_role("button", name="Invoice it").click()
    desk.get_by_role("link", name="Write down a payment").click()
    desk.get_by_label("Amount").fill("250")
    desk.get_by_role("button", name="Write it down").click()
    expect(desk.get_by_role("row", name="To pay $350.00")).to_be_visible()
    assert set(Slab.objects.values_list("state", flat=True)) == {SlabState.SOLD}
    assert set(Document.objects.values_list("kind", flat=True)) == {"quote", "delivery", "invoice"}


def test_second_quote_for_a_slab_is_refused_with_who_has_it(desk_page):
    slab = make_dry_slab("W-1", price=Decimal(310))
    second = make_order(slabs=[slab], buyer=make_buyer("Ben Moor"))
    make_order(slabs=[slab], buyer=make_buyer("Anna Lind"), state=OrderState.QUOTED)
    page = desk_page
    page.goto(f"/sales/orders/{second.pk}/")
    expect(page.get_by_text("W-1 is promised to Anna Lind")).to_be_visible()
    page.get_by_role("link", name="Quote it").click()
    page.get_by_role("button", name="Issue the quote").click()
    expect(page.get_by_role("alert")).to_contain_text("W-1 is promised to Anna Lind")
    assert Order.objects.get(pk=second.pk).state == OrderState.INQUIRY


def test_three_requests_are_written_down_as_buyers_say_them_and_quoted(desk_page):
    make_rule("14.00", species_key="walnut-black")
    make_rule("8.00", species_key="oak-white")
    page = desk_page
    asked_by(page, "Maren Oyelaran")
    wood_as_asked_for(
        page, {"How many pieces": "2", "Species": "black walnut", "At least wide": "20", "At least long": "8",
               "MC at most": "8", "By": "2027-03-01"},
        [("Thickness", "8/4"), ("Kind", "Live-edge slab")],
    )  # fmt: skip
    wood_as_asked_for(
        page, {"or how many board feet": "150", "Species": "white oak", "At least wide": "6", "Grade": "1C"},
        [("Thickness", "5/4")],
    )  # fmt: skip
    wood_as_asked_for(
        page, {"How many pieces": "2", "Species": "black walnut", "At least wide": "15", "At least long": "8"},
        [("Thickness", "8/4")], ["Matched"],
    )  # fmt: skip
    for words in ("2 of 8/4 black walnut live-edge slab, 20 in and wider", "150 bf of 5/4 white oak", "matched pair"):
        expect(page.get_by_role("rowheader", name=words)).to_be_visible()
    page.get_by_role("link", name="Quote it").click()
    page.get_by_role("button", name="Issue the quote").click()
    # 2 x 2 x 20 x 96 / 144 = 53.3 bf at 14.00 is 746.20; 150 at 8.00 is 1200.00; 40 bf at 14.00 is 560.00
    assert Document.objects.get().figures["lines_total"] == "2506.20"


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_of_orders_and_prices_fits_and_axe_finds_nothing(open_page, browser_owner, size):
    make_rule("14.00", species_key="walnut-black")
    used = make_rule("9.00", species_key="oak-northern-red")
    make_rule("0.45", what="drying", minimum=Decimal(60))
    farm = make_owner("A farm with a rather long name, Lund and daughters")
    make_order(slabs=[make_dry_slab(owner=farm)], buyer=farm)
    order = make_order(
        slabs=[make_dry_slab(), make_dry_slab(price=Decimal(5))], state=OrderState.ORDERED, note="By the gate.",
        wanted_by=timezone.localdate() - timedelta(days=1),
    )  # fmt: skip
    payment = payment_record(by=browser_owner, order=order, amount=Decimal(5), paid_on=timezone.localdate())
    asked = make_order()
    line_add_asked(by=None, order=asked, species_key="walnut-black", quarters=8.0, count=2, matched=True)
    quoted = make_order(state=OrderState.QUOTED)
    line = asked.lines.first()
    page = open_page(size, person=browser_owner)
    for name, path in {
        "orders": "orders/", "no orders": "orders/?q=nobody", "order new": "orders/new/",
        "order": f"orders/{order.pk}/",
        "inquiry": f"orders/{asked.pk}/", "order edit": f"orders/{asked.pk}/edit/",
        "asked": f"orders/{asked.pk}/asked/", "other": f"orders/{asked.pk}/other/", "line": f"lines/{line.pk}/",
        "replace": f"lines/{order.lines.first().pk}/replace/", "quote": f"orders/{asked.pk}/quote/",
        "pick": f"orders/{order.pk}/pick/", "go": f"orders/{order.pk}/go/", "off": f"orders/{order.pk}/off/",
        "pay": f"orders/{order.pk}/pay/", "void": f"payments/{payment.pk}/void/",
        "document": f"documents/{quoted.documents.get().pk}/", "prices": "prices/", "price new": "prices/new/",
        "price used": f"prices/{used.pk}/", "settings": "settings/",
    }.items():  # fmt: skip
        page.goto(f"/sales/{path}")
        look_over(page, name)
        assert small_targets(page) == [], name
    page.goto("/")
    expect(page.get_by_role("heading", name="Promised")).to_be_visible()
    look_over(page, "today with orders")


def test_an_order_is_taken_and_quoted_without_a_script(no_js_page):
    make_dry_slab("W-1", price=Decimal(310))
    page = no_js_page
    asked_by(page, "Anna Lind")
    page.get_by_label("Slabs").fill("W-1")
    page.get_by_role("button", name="Add slabs").click()
    page.get_by_role("link", name="Quote it").click()
    page.get_by_role("button", name="Issue the quote").click()
    assert Order.objects.get().state == OrderState.QUOTED
