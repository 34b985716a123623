"""Prices opened up: the steps give the same cents as the figure that they explain, worked out by hand."""

from decimal import Decimal

import pytest

from sales.services.order_lines import line_add_asked, line_change, lines_add_work
from sales.services.order_sheet import order_sheet
from sales.services.price_working import slab_working
from sales.services.slab_price import slab_price
from tests.sales.make import make_dry_slab, make_order, make_rule

pytestmark = pytest.mark.usefixtures("yard")


def steps(working):
    return dict(working.steps)


def test_line_of_a_slab_shows_tally_shrinkage_rounding_rule_and_discount():
    """2 in x 16.5 in x 96 in / 144 is 22 bf; less 8.6% x 22/30 it is 20.61, so 20.6; at 9.35 that is 192.61."""
    make_rule("9.35")
    order = make_order(slabs=[make_dry_slab()], tax_pct=Decimal("5.5"))
    line = order.lines.get()
    line_change(by=None, line=line, version=1, unit_price=line.unit_price, discount_pct=Decimal(5), taxed=True)
    (one,) = order_sheet(order).lines
    assert steps(one.working) == {
        "Green tally": "2 in × 16.5 in × 96 in / 144 = 22.000 bf",
        "Net tally": "22.000 bf × 0.9369, reckoned at 8% = 20.613 bf",
        "Rounded": "to a tenth of a board foot: 20.6 bf",
        "Price": "Any wood, from 1 Jan 2025",
        "Quantity × price": "20.6 bf × 9.35 = $192.61",
        "Discount": "5% of $192.61 = $9.63",
        "Tax": "5.5%, worked out for the whole order",
    }
    assert one.working.result == "$182.98"


def test_work_shows_the_least_that_it_costs_and_the_sum_its_tax():
    make_rule("0.50", what="drying", minimum=Decimal(60))
    order = make_order(slabs=1, price="100.00", tax_pct=Decimal("5.5"), discount_pct=Decimal(10))
    lines_add_work(by=None, order=order, work="drying")
    order.refresh_from_db()
    sheet = order_sheet(order)
    assert steps(sheet.lines[1].working)["At least"] == "$60.00, the least that its rule charges"
    assert steps(sheet.working) == {
        "Lines": "2 lines, each to the cent: $160.00",
        "Discount": "10% of $160.00 = $16.00",
        "Taxed": "$160.00 of the lines, less 10%: $144.00",
        "Tax": "5.5% of $144.00 = $7.92",
    }
    assert sheet.working.result == "$151.92"


def test_wood_as_asked_for_shows_its_least_sizes():
    make_rule("15.00")
    order = make_order(slabs=0)
    line_add_asked(by=None, order=order, quarters=8.0, count=2, min_width_in=18.0, length_in=96.0)
    (one,) = order_sheet(order).lines
    assert steps(one.working)["Footage"] == "2 × 2 in × 18 in × 96 in / 144 = 48.000 bf"
    assert one.working.result == "$720.00"


def test_price_of_a_piece_that_was_measured_dry_says_so():
    make_rule("10.00")
    slab = make_dry_slab(dry_widths_in=[12.0] * 3, dry_length_in=96.0)
    working = slab_working(slab, slab_price(slab))
    assert steps(working)["Net tally"] == "12 in wide (measured dry): 16.000 bf"
    assert working.result == "$160.00"


def test_price_is_tried_out_with_the_rule_that_makes_it_and_those_that_do_not(owner_client):
    make_rule("10.00")
    make_rule("15.00", width_from_in=18.0)
    asked = {"what": "wood", "quarters": "8", "width_in": "18", "length_in": "8'", "count": "2", "on": "2026-03-01"}
    page = owner_client.get("/sales/prices/try/", asked).content.decode()
    for words in ("$720.00", "18 in and more wide", "Makes the price", "2 × 2 in × 18 in × 96 in / 144 = 48.000 bf"):
        assert words in page
    assert "No rule fits" in owner_client.get("/sales/prices/try/", asked | {"what": "planing"}).content.decode()
