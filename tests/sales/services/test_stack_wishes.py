"""The kiln is told which stacks buyers wait for."""

from datetime import date
from decimal import Decimal

from kilns.services.charge_wishes import Wish, wishes
from sales.models import OrderState
from sales.services.orders import order_cancel
from tests.make import make_slab, make_stack
from tests.sales.make import make_buyer, make_order

CHRISTMAS = date(2026, 12, 24)


def test_stack_of_promised_wood_is_wanted_by_its_day(yard, owner):
    slabs = [make_slab(price=Decimal(10)) for _ in range(3)]
    wanted, other = make_stack(slabs=slabs), make_stack(slabs=1)
    order = make_order(
        slabs=slabs[:2], buyer=make_buyer("Tove Harrow"), state=OrderState.ORDERED, wanted_by=CHRISTMAS
    )  # fmt: skip
    expected = Wish(f"2 pieces for Tove Harrow, order {order.number}", CHRISTMAS)
    assert wishes([wanted.pk, other.pk]) == {wanted.pk: [expected]}
    order_cancel(by=owner, order=order, reason="changed plans")
    assert wishes([wanted.pk, other.pk]) == {}


def test_any_number_of_stacks_is_one_query(yard, django_assert_num_queries):
    stacks = [make_stack(slabs=[make_slab(price=Decimal(10))]) for _ in range(4)]
    for stack in stacks:
        make_order(slabs=list(stack.slabs_now.all()), state=OrderState.ORDERED)
    with django_assert_num_queries(1):
        assert len(wishes([stack.pk for stack in stacks])) == 4
