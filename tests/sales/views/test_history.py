"""What was changed in selling: seen by who may see orders, not by a viewer."""

from sales.services.payments import payment_record
from tests.sales.make import make_order


def test_a_viewer_reads_of_no_payment_and_no_order(viewer_client, hand_client, yard):
    order = make_order(state="ordered")
    payment_record(by=None, order=order, amount=50, paid_on=order.asked_on)
    assert order.number in hand_client.get("/history/").content.decode()
    assert order.number not in viewer_client.get("/history/").content.decode()
    assert order.number not in viewer_client.get("/history/?table=order").content.decode()
