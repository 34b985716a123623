"""Three buyers ask in their own words: each answer becomes a quote, one goes the whole way, a fourth comes too late."""

from playwright.sync_api import expect

from sales.models import Order, Reservation
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over
from tests.make import make_log
from tests.sales.make import make_dry_slab, make_rule
from yard.models import Slab

REQUESTS = {
    "Anna Lind": "two 8/4 walnut slabs over 20 in wide, 8 ft, at 8%",
    "Ben Moor": "150 bf of 5/4 white oak, No. 1 Common and better, 6 in and wider",
    "Carla Voss": "a matched pair",
}


def stock():
    make_rule(price="10.00")
    for tag in ("W-1", "W-2"):
        make_dry_slab(tag, species_key="walnut-black", widths_in=[22.0] * 3)
    for tag in ("O-1", "O-2", "O-3"):
        make_dry_slab(
            tag, species_key="oak-white", kind="lot", widths_in=[], quarters=5, thickness_in=1.25, grade="1C",
            tally=[{"width_in": 8.0, "length_in": 96.0, "count": 10}],
        )  # fmt: skip
    log = make_log(species_key="cherry-black")
    for position in (1, 2):
        make_dry_slab(f"C-{position}", log=log, position=position)


def quoted(page, name, words):
    """Answer a request in its own words, write the inquiry and issue the quote; the order's number."""
    page.goto("/sales/match/")
    page.get_by_label("What the buyer asks for").fill(words)
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_role("heading", name="The answer")).to_be_visible()
    look_over(page, f"answer to {name}")
    page.get_by_label("Name of somebody new").fill(name)
    page.get_by_role("button", name="Write the inquiry").click()
    page.get_by_role("link", name="Quote it").click()
    page.get_by_role("button", name="Issue the quote").click()
    expect(page.get_by_text("The quote is issued")).to_be_visible()
    return Order.objects.get(buyer__name=name)


def test_three_requests_are_quoted_one_is_delivered_and_a_fourth_buyer_is_told_who_has_the_slab(
    open_page, browser_owner
):
    stock()
    desk = open_page(DESK, person=browser_owner)
    orders = {name: quoted(desk, name, words) for name, words in REQUESTS.items()}
    assert {order.state for order in orders.values()} == {"quoted"}
    assert Reservation.objects.live().count() == 2 + 3 + 2

    anna = orders["Anna Lind"]
    desk.goto(f"/sales/orders/{anna.pk}/")
    desk.get_by_role("button", name="The buyer says yes").click()
    expect(desk.get_by_role("button", name="The buyer says yes")).to_have_count(0)
    phone = open_page(PHONE, person=browser_owner, has_touch=True)
    for tag in ("W-1", "W-2"):
        phone.goto(f"/c/{Slab.objects.get(tag=tag).code}/")  # as the phone's own camera opens the label
        phone.get_by_role("button", name="I have it").tap()
        phone.wait_for_url(f"**/sales/orders/{anna.pk}/pick/")
    expect(phone.get_by_text("That was the last one.")).to_be_visible()
    phone.get_by_role("link", name="The wood goes").tap()
    phone.get_by_role("button", name="It is gone").tap()
    expect(phone.get_by_role("button", name="It is gone")).to_have_count(0)
    desk.reload()
    desk.get_by_role("button", name="Invoice it").click()
    desk.get_by_role("link", name="Write down a payment").click()
    desk.get_by_label("Amount").fill("100")
    desk.get_by_role("button", name="Write it down").click()
    anna.refresh_from_db()
    assert anna.state == "delivered"
    expect(desk.get_by_role("row", name=f"To pay ${anna.total - 100:,.2f}")).to_be_visible()

    desk.goto("/sales/orders/new/")
    desk.get_by_label("Name of somebody new").fill("Dora Quill")
    desk.get_by_role("button", name="Write it down").click()
    desk.get_by_label("Slabs").fill("O-2")
    desk.get_by_role("button", name="Add slabs").click()
    expect(desk.get_by_text("O-2 is promised to Ben Moor").first).to_be_visible()
    assert Reservation.objects.live().filter(slab__tag="O-2").count() == 1
