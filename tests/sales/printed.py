"""Figures of documents to print, as the document service keeps them: so many lines, long names, accents."""

from decimal import Decimal

LONG_NAME = "Bartholomäus Ångström-Škvorecký & Søns Möbelwerkstätten und Restaurierung Gesellschaft zu Großräschen"


def figures(*, kind="quote", lines=3, long=False, work=False, paid="0.00", terms="Half at order, half at pick-up."):
    """A document of so many lines of 12.50 bf at 9.35, tax 5.5%, discount 10%; with `work`, drying of their wood."""
    rows = [_work_line(place) if work and place == 1 else _line(place, long, work) for place in range(1, lines + 1)]
    total = sum((Decimal(row["total"]) for row in rows), Decimal("0.00"))
    discount = (total * Decimal("0.10")).quantize(Decimal("0.01"))
    tax = ((total - discount) * Decimal("0.055")).quantize(Decimal("0.01"))
    whole = total - discount + tax
    name = LONG_NAME if long else "Renée Šimůnková"
    return {
        "kind": kind, "number": f"{kind[0].upper()}-2026-014", "order": "2026-021", "issued_on": "2026-03-02",
        "valid_until": "2026-04-01" if kind == "quote" else "", "due_on": "2026-03-16" if kind == "invoice" else "",
        "delivered_on": "2026-03-02" if kind == "delivery" else "",
        "promise_date": "2026-03-14", "promise_middle": "2026-03-05",
        "yard": {"name": "The Yard under the Hill", "address": "4 Mill Road\nAnytown", "tax_words": "Tax no. 12-345"},
        "buyer": {"name": name, "address": "Žižkova 7\nBrno", "email": "renee@example.org", "phone": ""},
        "currency": "USD", "basis": "net", "basis_words": "Net: measured dry",
        "rounding_words": "To a tenth of a board foot", "width_basis_words": "Narrow face, inside bark",
        "mc_pct": 8.0, "mc_how": "pin meter at a third of the thickness", "terms": terms,
        "note": "Please bring straps & blankets <for the glass>.", "lines": rows,
        "bf_total": str(sum((Decimal(row["bf"]) for row in rows if row["kind"] != "work"), Decimal(0))),
        "lines_total": f"{total:.2f}", "discount_pct": "10", "discount": f"{discount:.2f}", "tax_pct": "5.5",
        "tax": f"{tax:.2f}", "total": f"{whole:.2f}", "paid": paid, "to_pay": f"{whole - Decimal(paid):.2f}",
    }  # fmt: skip


def _line(place, long, theirs):
    words = "black walnut 8/4 live-edge slab, curl, 21 1/2 in × 8' 2\""
    if long:
        words = f"black walnut 8/4 live-edge slab, {'feather crotch and curl all through ' * 3}, 21 1/2 in × 8' 2\""
    tag = f"WALNUT-2025-{place:03}" if long else f"T-{place:03}"
    price = "0" if theirs else "9.35"
    return {
        "place": place, "kind": "slab", "words": f"{tag}: {words}", "tag": tag, "species_key": "walnut-black",
        "bf": "12.5", "bf_how": "net, measured dry", "mc_pct": 7.8, "quantity": "1" if theirs else "12.5",
        "per": "sum" if theirs else "bf", "per_words": "", "unit_price": price, "minimum": "0.00",
        "discount_pct": "0", "total": "0.00" if theirs else "116.88", "taxed": True,
    }  # fmt: skip


def _work_line(place):
    return {
        "place": place, "kind": "work", "words": "Drying: 5 pieces of black walnut 8/4", "tag": "", "species_key": "",
        "bf": "62.5", "bf_how": "net, measured dry", "mc_pct": None, "quantity": "62.5", "per": "bf", "per_words": "",
        "unit_price": "0.4525", "minimum": "60.00", "discount_pct": "0", "total": "60.00", "taxed": False,
    }  # fmt: skip
