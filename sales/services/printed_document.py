"""An issued document read back from its kept figures, typed, for the page that prints it and the PDF alike.

Nothing here asks the order, the rules or the slabs: what was given to the buyer is what is read.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from sales.models import DocumentKind, LineKind, Per
from sales.services.footage import basis_said
from yard.wood.species import UnknownSpecies, species

TITLES = {
    DocumentKind.QUOTE: "Quote",
    DocumentKind.DELIVERY: "Delivery note",
    DocumentKind.INVOICE: "Invoice",
    DocumentKind.CREDIT: "Credit note",
}
DRYING_BILL = "Drying bill"
PER_WORDS = {Per.BF: "a bf", Per.SLAB: "each", Per.SUM: ""}


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """One line: its tag by itself, what it is, its footage and what it costs."""

    place: int
    kind: str
    tag: str
    words: str
    wood: str
    bf: Decimal | None
    bf_how: str
    mc_pct: float | None
    quantity: Decimal
    per: str
    unit_price: Decimal
    minimum: Decimal
    discount_pct: Decimal
    total: Decimal
    taxed: bool

    @property
    def per_words(self) -> str:
        return PER_WORDS.get(Per(self.per), "")

    @property
    def at_minimum(self) -> bool:
        """Whether the least that its rule charges made the price."""
        return self.minimum > 0 and self.quantity * self.unit_price < self.minimum

    @property
    def not_ours(self) -> bool:
        """A piece that costs nothing because it is the buyer's own."""
        return self.kind == LineKind.SLAB and self.per == Per.SUM and self.unit_price == 0

    @property
    def footnote(self) -> str:
        """How the footage came about, how wet it was, and why the total is not price x quantity."""
        wood = [self.bf_how] if self.kind != LineKind.OTHER else []
        if self.mc_pct is not None:
            wood.append(f"MC {self.mc_pct:g}% when it was called dry")
        if self.at_minimum:
            wood.append("the least that this work costs")
        if self.discount_pct:
            wood.append(f"less {self.discount_pct:f}%")
        if self.not_ours:
            wood.append("your own wood")
        return "; ".join(part for part in wood if part)


@dataclass(frozen=True, slots=True)
class Party:
    """Who gives the document, or who gets it."""

    name: str
    address: str = ""
    more: str = ""


@dataclass(frozen=True, slots=True)
class PrintedDocument:
    """A document as it was on its day."""

    kind: str
    number: str
    order_number: str
    issued_on: date
    valid_until: date | None
    due_on: date | None
    delivered_on: date | None
    promise_date: date | None
    promise_middle: date | None
    seller: Party
    buyer: Party
    currency: str
    basis: str
    basis_words: str
    rounding_words: str
    width_words: str
    mc_pct: float | None
    mc_how: str
    terms: str
    note: str
    lines: tuple[PrintedLine, ...]
    bf_total: Decimal
    lines_total: Decimal
    discount_pct: Decimal
    discount: Decimal
    tax_pct: Decimal
    tax: Decimal
    total: Decimal
    paid: Decimal
    to_pay: Decimal
    credits: str = ""

    @property
    def title(self) -> str:
        """What stands at its head; an invoice for work on the buyer's own wood alone is a drying bill."""
        if self.kind == DocumentKind.INVOICE and self.is_for_work:
            return DRYING_BILL
        return TITLES[DocumentKind(self.kind)]

    @property
    def is_for_work(self) -> bool:
        """Whether it charges work on wood of the buyer's, and sells none of ours."""
        work = any(line.kind == LineKind.WORK for line in self.lines)
        sold = any(line.kind in (LineKind.SLAB, LineKind.ASKED) and not line.not_ours for line in self.lines)
        return work and not sold

    @property
    def has_prices(self) -> bool:
        """A delivery note lists the wood alone, since others than the payer may read it."""
        return self.kind != DocumentKind.DELIVERY

    @property
    def pieces(self) -> int:
        return sum(line.kind == LineKind.SLAB for line in self.lines)

    @property
    def basis_said(self) -> str:
        """On what basis, with the truth about net footage: none of it, some of it or all of it was measured dry."""
        wood = [line for line in self.lines if line.kind in (LineKind.SLAB, LineKind.WORK)]
        hows = [line.bf_how for line in wood if line.bf is not None]
        return basis_said(self.basis, self.basis_words, hows)

    @property
    def footage_words(self) -> str:
        """On what basis the wood was measured."""
        rounding = self.rounding_words[:1].lower() + self.rounding_words[1:]
        return f"{self.basis_said}, {rounding} for each piece. Widths: {self.width_words.lower()}."

    @property
    def mc_words(self) -> str:
        """The MC that was agreed, and how it is measured."""
        if self.mc_pct is None:
            return "Not agreed."
        how = f", by {self.mc_how}" if self.mc_how else ""
        return f"{self.mc_pct:g}%{how}."

    @property
    def promise_words(self) -> str:
        """The date promised, with what it is worth; empty where none was."""
        if self.promise_date is None:
            return ""
        words = f"We expect it to be ready by {spoken_day(self.promise_date)}, nine times in ten."
        if self.promise_middle is not None and self.promise_middle != self.promise_date:
            words += f" As likely as not it is ready by {spoken_day(self.promise_middle)}."
        return words

    @property
    def day_words(self) -> str:
        """Until when it holds, when it is due, when the wood went, what it credits; empty where it says none."""
        if self.kind == DocumentKind.CREDIT:
            return f"For invoice {self.credits}"
        if self.kind == DocumentKind.QUOTE and self.valid_until:
            return f"Holds until {spoken_day(self.valid_until)}"
        if self.kind == DocumentKind.INVOICE and self.due_on:
            return f"Due on {spoken_day(self.due_on)}"
        if self.kind == DocumentKind.DELIVERY and self.delivered_on:
            return f"Delivered on {spoken_day(self.delivered_on)}"
        return ""


def printed_document(figures: Mapping[str, Any]) -> PrintedDocument:
    """Read a document's kept figures. Errors: KeyError for figures that are not those of a document."""
    seller, buyer = figures["yard"], figures["buyer"]
    days = {
        name: date.fromisoformat(figures[name]) if figures[name] else None
        for name in ("valid_until", "due_on", "delivered_on", "promise_date", "promise_middle")
    }
    money = {
        name: Decimal(figures[name])
        for name in (
            "bf_total", "lines_total", "discount_pct", "discount", "tax_pct", "tax", "total", "paid", "to_pay"
        )
    }  # fmt: skip
    reach = "\n".join(part for part in (buyer["email"], buyer["phone"]) if part)
    return PrintedDocument(
        kind=figures["kind"], number=figures["number"], order_number=figures["order"],
        issued_on=date.fromisoformat(figures["issued_on"]),
        seller=Party(seller["name"], seller["address"], seller["tax_words"]),
        buyer=Party(buyer["name"], buyer["address"], reach),
        currency=figures["currency"], basis=figures["basis"], basis_words=figures["basis_words"],
        rounding_words=figures["rounding_words"],
        width_words=figures["width_basis_words"], mc_pct=figures["mc_pct"], mc_how=figures["mc_how"],
        terms=figures["terms"], note=figures["note"], credits=figures.get("credits", ""),
        lines=tuple(_line(line) for line in figures["lines"]), **days, **money,
    )  # fmt: skip


def spoken_day(on: date) -> str:
    """A date that cannot be misread: 3 March 2026."""
    return f"{on.day} {on:%B %Y}"


def _line(line: Mapping[str, Any]) -> PrintedLine:
    tag, words = line["tag"], line["words"]
    bare = words.removeprefix(f"{tag}: ") if tag else words
    return PrintedLine(
        place=line["place"], kind=line["kind"], tag=tag, words=bare[:1].upper() + bare[1:],
        wood=_wood(line["species_key"]), bf=Decimal(line["bf"]) if line["bf"] else None, bf_how=line["bf_how"],
        mc_pct=line["mc_pct"], quantity=Decimal(line["quantity"]), per=line["per"],
        unit_price=Decimal(line["unit_price"]), minimum=Decimal(line["minimum"]),
        discount_pct=Decimal(line["discount_pct"]), total=Decimal(line["total"]), taxed=line["taxed"],
    )  # fmt: skip


def _wood(key: str) -> str:
    try:
        return species(key).plain_name if key else ""
    except UnknownSpecies:
        return key
