"""The page that answers a request: by a sentence or by fields, and an inquiry made of it."""

from decimal import Decimal

from sales.models import LineKind, Order
from tests.make import make_log
from tests.sales.make import make_dry_slab, make_order, make_rule

SENTENCES = (
    "two 8/4 walnut slabs over 20 in wide, 8 ft, at 8%",
    "150 bf of 5/4 white oak, No. 1 Common and better, 6 in and wider",
    "a matched pair",
)


def sent(page, **more):
    """What the browser sends: the hidden fields as they stand on the page, with the ticks."""
    form = page.context["form"]
    fields = {one.html_name: one.value() if one.value() is not None else "" for one in form}
    ticked = [offer.slab.pk for offer in (*page.context["answer"].dry, *page.context["answer"].drying) if offer.chosen]
    return fields | {"slab": ticked, "buyer": "", "new_name": "Anna Lind"} | more


def test_each_of_three_requests_becomes_a_quote(owner_client, yard):
    make_rule(price="10.00")
    for _ in range(2):
        make_dry_slab(species_key="walnut-black", widths_in=[22.0] * 3)
    for _ in range(3):
        make_dry_slab(
            species_key="oak-white", kind="lot", widths_in=[], quarters=5, thickness_in=1.25, grade="1C",
            tally=[{"width_in": 8.0, "length_in": 96.0, "count": 10}],
        )  # fmt: skip
    log = make_log(species_key="cherry-black")
    for position in (1, 2):
        make_dry_slab(log=log, position=position)
    for words, pieces in zip(SENTENCES, (2, 3, 2), strict=True):
        page = owner_client.get("/sales/match/", {"words": words})
        assert page.status_code == 200
        response = owner_client.post("/sales/match/order/", sent(page))
        order = Order.objects.order_by("-pk").first()
        assert response.url == f"/sales/orders/{order.pk}/", words
        slabs = order.lines.standing().filter(kind=LineKind.SLAB)
        assert slabs.count() == pieces, words
        assert all(line.answers.kind == LineKind.ASKED for line in slabs)
        quote = {"version": order.version, "valid_until": "2099-01-01"}
        assert owner_client.post(f"/sales/orders/{order.pk}/quote/", quote).status_code == 302
        order.refresh_from_db()
        assert order.state == "quoted"
        assert order.total > Decimal(0)


def test_empty_page_asks_and_answers_nothing(owner_client, yard):
    page = owner_client.get("/sales/match/")
    assert page.status_code == 200
    assert page.context["answer"] is None


def test_request_without_an_amount_is_told_what_is_missing(owner_client, yard):
    page = owner_client.get("/sales/match/", {"fields": "1", "species_key": "white oak"})
    assert "How many pieces, or how many board feet?" in page.content.decode()


def test_inquiry_needs_somebody_who_asks(owner_client, yard):
    make_dry_slab()
    page = owner_client.get("/sales/match/", {"fields": "1", "count": "1"})
    response = owner_client.post("/sales/match/order/", sent(page, new_name=""))
    assert response.status_code == 422
    assert not Order.objects.exists()


def test_slab_that_went_meanwhile_is_refused_with_who_has_it(owner_client, yard):
    slab = make_dry_slab("M-1", price=Decimal(100))
    page = owner_client.get("/sales/match/", {"fields": "1", "count": "1"})
    make_order(slabs=[slab], state="ordered")
    response = owner_client.post("/sales/match/order/", sent(page))
    assert response.status_code == 422
    assert "M-1 is promised to" in response.content.decode()
    assert Order.objects.count() == 1


def test_stranger_sees_no_wood(client, yard):
    assert client.get("/sales/match/").status_code in (302, 403)
    assert client.post("/sales/match/order/", {}).status_code in (302, 403)
