"""Documents on paper, read back with a PDF reader: nothing lost, totals as kept, page numbers, heads on each page."""

import re
from decimal import Decimal

import pypdfium2
import pytest

from sales.models import DocumentKind
from sales.services.document_pdf import document_pdf
from sales.services.order_lines import lines_add_work
from sales.services.payments import invoice_issue
from sales.services.printed_document import printed_document
from sales.services.quotes import order_accept
from tests.sales.make import make_dry_slab, make_order, make_owner, make_rule
from tests.sales.printed import LONG_NAME, figures

A4_PT, LETTER_PT = (595, 842), (612, 792)


def pages_of(pdf):
    """The text of each page, blanks as one."""
    opened = pypdfium2.PdfDocument(pdf)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in opened]


def printed(units="imperial", **asked):
    kept = figures(**asked)
    pdf = document_pdf(printed_document(kept), units=units)
    return kept, pages_of(pdf)


def test_sixty_lines_lose_none_and_every_page_has_its_head_and_number():
    kept, pages = printed(lines=60)
    text = " ".join(pages)
    for line in kept["lines"]:
        assert text.count(line["tag"]) == 1
    assert text.count("$116.88") == 60
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page
    listing = [page for page in pages if "T-0" in page]
    assert len(listing) >= 3
    assert all("No. Tag What Board feet Price Total" in page for page in listing)


def test_three_pages_are_as_many_as_their_lines_need():
    _, pages = printed(lines=36)
    assert len(pages) == 3
    assert "continued: Renée Šimůnková" in pages[1]
    assert "continued" not in pages[0]


def test_totals_are_those_that_were_kept():
    kept, (page,) = printed(lines=4, kind="invoice", paid="100.00")
    assert kept["total"] == "443.91"  # by hand: 467.52 - 46.75 + 5.5% of 420.77 = 23.14
    for words in ("Sum of the lines $467.52", "Discount 10% −$46.75", "Tax 5.5% $23.14", "Total $443.91",
                  "Paid $100.00", "To pay $343.91", "Wood, board feet 50.0"):  # fmt: skip
        assert words in page


def test_long_names_and_accents_are_printed_whole():
    _, pages = printed(lines=5, long=True)
    text = " ".join(pages)
    assert LONG_NAME in text
    assert "Žižkova 7" in text
    assert text.count("feather crotch and curl all through") == 15
    assert "straps & blankets <for the glass>" in text


def test_terms_of_many_pages_run_on():
    _, pages = printed(lines=2, terms="\n".join(f"Clause {number} holds." for number in range(1, 151)))
    text = " ".join(pages)
    assert all(f"Clause {number} holds." in text for number in range(1, 151))


def test_quote_says_basis_moisture_promise_and_until_when_it_holds():
    _, (page,) = printed()
    for words in (
        "Net: measured dry, to a tenth of a board foot for each piece. Widths: narrow face, inside bark.",
        "8%, by pin meter at a third of the thickness.", "MC 7.8% when it was called dry",
        "ready by 14 March 2026, nine times in ten. As likely as not it is ready by 5 March 2026.",
        "Holds until 1 April 2026", "Half at order, half at pick-up.",
    ):  # fmt: skip
        assert words in page


def test_net_footage_that_was_reckoned_is_not_called_measured():
    kept = figures(lines=2)
    kept["lines"][1]["bf_how"] = "net, by shrinkage to 7.6%"
    (page,) = pages_of(document_pdf(printed_document(kept), units="imperial"))
    assert "Net, as dry wood: measured dry or reckoned, as each line says" in page
    assert "Net: measured dry" not in page
    for line in kept["lines"]:
        line["bf_how"] = "net, by shrinkage to 7.6%"
    assert printed_document(kept).footage_words.startswith("Net, as dry wood: reckoned, not measured")


def test_delivery_note_lists_the_wood_without_money():
    _, (page,) = printed(kind="delivery", lines=4)
    assert "Pieces 4" in page
    assert "Name and signature" in page
    assert "$" not in page


def test_bill_for_drying_their_wood_is_called_so():
    _, (page,) = printed(kind="invoice", work=True, lines=3)
    assert page.count("Drying bill") == 2  # at the head and at the foot
    for words in ("$0.4525 a bf", "the least that this work costs", "$60.00 not taxed", "your own wood"):
        assert words in page


@pytest.mark.parametrize(("units", "size"), [("imperial", LETTER_PT), ("metric", A4_PT)])
def test_paper_follows_the_units(units, size):
    pdf = document_pdf(printed_document(figures()), units=units)
    wide, high = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert (round(wide), round(high)) == size


def test_metric_paper_gives_cubic_metres_too():
    _, (page,) = printed(units="metric", lines=1)
    assert "12.5 0.0295 m³" in page  # 12.5 bf x 144 in³ x (0.0254 m)³ = 0.029497 m³


def test_currency_without_a_sign_is_named():
    kept = figures(lines=1) | {"currency": "SEK"}
    (page,) = pages_of(document_pdf(printed_document(kept), units="metric"))
    assert f"{Decimal(kept['total']):,.2f} SEK" in page


def test_invoice_for_drying_somebodys_wood_is_a_drying_bill(yard):
    """Through the services, from their slab to the paper: a bill for the work, the wood itself for nothing."""
    theirs = make_dry_slab("E-1", owner=make_owner("Ebba Wood"))
    make_rule("0.55", what="drying", minimum=Decimal(90))
    order = make_order(slabs=[theirs], buyer=theirs.owner)
    lines_add_work(by=None, order=order, work="drying")
    order_accept(by=None, order=order)
    (page,) = pages_of(document_pdf(printed_document(invoice_issue(by=None, order=order).figures), units="imperial"))
    for words in ("Drying bill", "Ebba Wood", "E-1", "your own wood", "the least that this work costs", "$90.00"):
        assert words in page


@pytest.mark.parametrize("kind", DocumentKind.values)
def test_what_the_document_service_keeps_can_be_printed(kind, yard):
    from sales.services.documents import document_issue

    order = make_order(slabs=2)
    lines = list(order.lines.select_related("slab"))
    issued = document_issue(by=None, order=order, kind=DocumentKind(kind), on=order.asked_on, lines=lines)
    (page,) = pages_of(document_pdf(printed_document(issued.figures), units="imperial"))
    assert issued.number in page
    assert all(line.slab.tag in page for line in lines)
