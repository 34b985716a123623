"""What a buyer and a stranger see, at phone and desk, and the owner's pages of links, wishes and looking back."""

from decimal import Decimal

import pytest
from django.core.cache import cache

from sales.models import BuyerLink, OrderState
from sales.services.buyer_links import buyer_link_make
from sales.services.deliveries import order_deliver
from sales.services.payments import invoice_issue
from sales.services.sale_settings import sale_settings_change, the_sale_settings
from sales.services.wishes import wish_add
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_log
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_rule
from tests.yard.services.test_photos import picture
from yard.services.photos import photo_add

SIZES = pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])


@pytest.fixture(autouse=True)
def _no_guesses_yet():
    cache.clear()


@pytest.fixture
def open_to_all(browser_owner):
    sale_settings_change(
        by=None, version=the_sale_settings().version, public_open=True, public_prices=True,
        public_words="Slabs from trees that came down round here.", public_contact="yard@example.org",
    )  # fmt: skip


@SIZES
def test_strangers_look_at_what_is_for_sale_and_at_one_piece(open_page, open_to_all, size):
    make_rule()
    shown = make_dry_slab("W-1", figure="curl", grade="FAS", has_knots=True)
    photo_add(thing=shown, upload=picture(), by=None)
    make_dry_slab("W-2", species_key="walnut-black")
    page = open_page(size)
    page.goto("/for-sale/")
    look_over(page, "for sale")
    page.get_by_label("Wood", exact=True).select_option("walnut-black")
    page.get_by_role("button", name="Show").click()
    page.get_by_text("W-2").wait_for()
    assert page.get_by_text("W-1").count() == 0
    page.goto("/for-sale/")
    page.get_by_role("link", name="W-1").click()
    page.get_by_role("heading", name="Northern red oak 8/4").wait_for()
    look_over(page, "for sale, one piece")
    assert page.get_by_alt_text("Photo 1 of 1 of W-1").evaluate("one => one.complete && one.naturalWidth > 0")
    if size == PHONE:
        assert not small_targets(page)


@SIZES
def test_owner_makes_a_link_and_the_buyer_opens_it_without_logging_in(open_page, browser_owner, size):
    order = make_order(slabs=[make_dry_slab("W-1", price=Decimal("310.00"))], state=OrderState.QUOTED)
    owner = open_page(size, person=browser_owner)
    owner.goto(f"/sales/orders/{order.pk}/")
    owner.get_by_role("link", name="A private link for the buyer").click()
    owner.get_by_role("button", name="Make a link").click()
    address = owner.get_by_label("The link").input_value()
    look_over(owner, "links, one just made")
    buyer = open_page(size)
    buyer.goto(address)
    buyer.get_by_role("heading", name="Quote Q-").wait_for()
    assert "$310.00" in buyer.content()
    look_over(buyer, "a buyer's quote")
    owner.get_by_role("button", name="Withdraw").click()
    owner.get_by_text("Withdrawn").wait_for()
    buyer.reload()
    buyer.get_by_role("heading", name="No longer open").wait_for()
    look_over(buyer, "a link that is over")


@pytest.mark.looks
@SIZES
def test_pages_of_looking_back_and_of_wishes_fit_and_axe_finds_nothing(open_page, browser_owner, size):
    buyer = make_buyer("Ida Featherstonehaugh and daughters, cabinet makers", email="ida@example.org")
    slab = make_dry_slab("W-1", log=make_log("L-W", cost=Decimal("60.00")), position=1, price=Decimal("310.00"))
    order = make_order(slabs=[slab, make_dry_slab(price=Decimal(90))], buyer=buyer, state=OrderState.ORDERED)
    order_deliver(by=None, order=order, unscanned=True)
    invoice_issue(by=None, order=order)
    make_dry_slab()
    wish = wish_add(by=None, buyer=buyer, species_key="oak-northern-red", tell_by_email=True)
    page = open_page(size, person=browser_owner)
    for path in (
        "/sales/reports/", "/sales/reports/stock/", "/sales/reports/unpaid/", "/sales/wishes/",
        f"/sales/wishes/{wish.pk}/", f"/sales/wishes/new/{buyer.pk}/", f"/contacts/{buyer.pk}/",
    ):  # fmt: skip
        page.goto(path)
        look_over(page, path)
        if size == PHONE:
            assert not small_targets(page), f"{path}: {small_targets(page)}"


def test_a_link_that_is_printed_shows_the_quote_alone(open_page, browser_owner):
    order = make_order(slabs=2, state=OrderState.QUOTED)
    _, secret = buyer_link_make(by=None, order=order)
    page = open_page(DESK)
    page.goto(f"/quote/{secret}/")
    page.emulate_media(media="print")
    assert not page.get_by_role("link", name="As PDF").is_visible()
    assert page.get_by_role("table").is_visible()
    assert BuyerLink.objects.get().seen_times == 1
