"""The page that puts an invoice right."""

from decimal import Decimal

from sales.models import Document, OrderState
from sales.services.payments import invoice_issue
from tests.sales.make import make_dry_slab, make_order


def test_lines_ticked_are_credited_and_the_order_says_so(owner_client, hand_client, yard):
    slabs = [make_dry_slab(tag, price=Decimal(price)) for tag, price in (("W-1", "100.00"), ("W-2", "40.00"))]
    order = make_order(slabs=slabs, state=OrderState.ORDERED)
    page = f"/sales/orders/{order.pk}/credit/"
    assert "No invoice stands" in owner_client.get(page).content.decode()
    invoice_issue(by=None, order=order)
    order.refresh_from_db()
    assert "W-2" in owner_client.get(page).content.decode()
    refused = owner_client.post(page, {"version": order.version, "reason": "billed twice"})
    assert refused.status_code == 422
    assert "Tick at least one" in refused.content.decode()
    sent = {"version": order.version, "reason": "billed twice", "places": ["2"]}
    assert hand_client.post(page, sent).status_code == 403
    assert owner_client.post(page, sent).status_code == 302
    note = Document.objects.get(kind="credit")
    shown = owner_client.get(f"/sales/orders/{order.pk}/").content.decode()
    for words in ("Credited", "−$40.00", note.number):
        assert words in shown
    assert "credited" in owner_client.get(f"/sales/documents/{note.pk}/").content.decode()
    pay = owner_client.get(f"/sales/orders/{order.pk}/pay/").context["form"]
    assert (Decimal(pay["amount"].value()), pay["back"].value()) == (Decimal(100), False)
    order.refresh_from_db()
    owner_client.post(page, {"version": order.version, "reason": "all wrong", "whole": "1"})
    assert "Invoice it anew" in owner_client.get(f"/sales/orders/{order.pk}/").content.decode()
