"""The story of the demo's selling: buyers, prices and orders, all invented. Days are counted back from today."""

from dataclasses import dataclass
from typing import Any

from sales.demo_promises import past_promise

JOINERY, TOVE, ANSELM = "The Lantern joinery", "Tove Harrow", "Anselm Pyke"  # of the yard's own story
MAREN, CORVIN, ODD = "Maren Oyelaran", "Corvin Thale", "Odd Linnet"
BUYERS = (
    (MAREN, "Bars and counters; asks months ahead."),
    (CORVIN, "Turns bowls. Takes the short ends."),
    (ODD, "Shelves for the mill house."),
)
TERMS = (
    "Half with the order, the rest when the wood is fetched. Wood moves with the seasons: keep it indoors for two "
    "weeks before work. Collected wood is at the buyer's risk once it is loaded."
)
HABITS: dict[str, Any] = {
    "address": "4 Sawpit Lane\nLower Harrowmere", "quote_terms": TERMS,
    "invoice_terms": "Please name the invoice's number with the payment.", "quote_days": 30, "pay_days": 14,
    "public_open": True, "public_prices": True, "public_contact": "sales@hollow-birch.example",
    "public_words": "Slabs and boards from trees that came down round here, dried in our own sheds and kiln.",
}  # fmt: skip

WALNUT, MAPLE, OAK, WHITE_OAK, CHERRY, ASH = (
    "walnut-black", "maple-sugar", "oak-northern-red", "oak-white", "cherry-black", "ash-white",
)  # fmt: skip
# price, price since two months, conditions
PRICES: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("4.50", "", {}),
    ("6.20", "", {"species_key": MAPLE}),
    ("7.40", "7.80", {"species_key": MAPLE, "grade": "FAS"}),
    ("5.10", "", {"species_key": OAK}),
    ("6.60", "", {"species_key": OAK, "quarters": 8.0}),
    ("7.90", "", {"species_key": WHITE_OAK}),
    ("9.40", "", {"species_key": WHITE_OAK, "quarters": 12.0}),
    ("8.20", "", {"species_key": CHERRY}),
    ("5.60", "", {"species_key": ASH}),
    ("12.50", "13.50", {"species_key": WALNUT}),
    ("15.00", "16.50", {"species_key": WALNUT, "quarters": 8.0}),
    ("18.50", "", {"species_key": WALNUT, "quarters": 8.0, "width_from_in": 20.0}),
    ("21.00", "", {"species_key": WALNUT, "figure": "*", "quarters": 8.0}),
    ("0.55", "", {"what": "drying", "minimum": 90}),
    ("0.75", "", {"what": "drying", "quarters": 8.0, "minimum": 90}),
    ("0.35", "", {"what": "planing", "minimum": 40}),
    ("0.20", "", {"what": "sanitising", "minimum": 60}),
)


@dataclass(frozen=True, slots=True)
class OrderTold:
    """One order of the story; days before today, `promised` as (middle, nine in ten), negative for days to come."""

    buyer: str
    asked: int
    quoted: int | None = None
    holds: int = 30
    ordered: int | None = None
    promised: tuple[int, int] | None = None
    because: str = ""
    ready: int | None = None
    gone: int | None = None
    wanted: int | None = None
    slabs: tuple[str, ...] = ()
    asked_for: tuple[dict[str, Any], ...] = ()
    work: tuple[str, ...] = ()
    others: tuple[tuple[str, str, str, str], ...] = ()  # words, how many, price, for what
    paid: tuple[tuple[int, str], ...] = ()
    cancelled: tuple[int, str] | None = None
    credited: tuple[int, int, str] | None = None  # days ago, the invoice's line, why
    tax: str = "5.5"
    note: str = ""


def _book(
    buyer: str, asked: int, words: str, feet: str, price: str, air: tuple[float, float, float] | None, before: int
) -> OrderTold:
    """An order from before the slabs had tags: boards by the foot, as the old book has them, paid when fetched.

    `air` and `before`: how long the wood still had to dry outdoors and how many kiln runs came before its own; the
    model makes the promise of that, and what came.
    """
    total = f"{round(float(feet) * float(price) * 1.055 + 1e-9, 2):.2f}"
    quoted = asked - 1
    made = past_promise(words, air=air, runs_before=before, seed=asked)
    ready = quoted - made.happened
    return OrderTold(
        buyer, asked, quoted=quoted, ordered=asked - 4, promised=(quoted - made.middle, quoted - made.safe),
        because=made.holds_up, ready=ready, gone=ready - 2, others=((words, feet, price, "bf"),),
        paid=((ready - 2, total),), note="From the old book.",
    )  # fmt: skip


ORDERS = (
    _book(JOINERY, 400, "Red oak 4/4, No. 1 Common", "120", "4.80", (6, 14, 30), 0),
    _book(ODD, 388, "Ash 6/4", "64", "5.40", (10, 20, 38), 1),
    _book(TOVE, 371, "Cherry 5/4, FAS", "48", "8.10", None, 1),
    _book(JOINERY, 352, "Sugar maple 4/4, Select", "80", "6.90", None, 0),
    _book(MAREN, 339, "White oak 8/4", "150", "8.40", (20, 45, 80), 1),
    _book(CORVIN, 322, "Short ends of walnut", "22", "6.00", None, 0),
    _book(ODD, 301, "Red oak 4/4, shelf boards", "55", "5.00", (8, 18, 35), 1),
    _book(TOVE, 284, "Walnut 5/4", "40", "12.20", (15, 30, 60), 1),
    _book(JOINERY, 262, "Ash 6/4", "90", "5.60", None, 2),
    _book(MAREN, 240, "Elm 8/4", "70", "6.40", (25, 50, 85), 0),
    OrderTold(
        JOINERY, 214, quoted=213, ordered=210, promised=(209, 206), ready=208, gone=207,
        slabs=("25-3-4", "25-3-7", "25-3-10"), paid=((210, "130.00"), (200, "148.71")),
    ),
    OrderTold(
        ODD, 150, quoted=148, slabs=("25-3-8", "25-3-9"), cancelled=(139, "Bought from a neighbour"),
    ),
    OrderTold(
        TOVE, 64, quoted=63, ordered=60, promised=(60, 56), ready=55, gone=52, slabs=("25-5-6",),
        others=(("Haulage to the workshop", "1", "40", "sum"),), paid=((60, "150.00"),),
        credited=(45, 2, "She fetched it herself"),
    ),
    OrderTold(
        ANSELM, 40, ordered=40, wanted=-60, slabs=("26-2-1",), work=("drying", "planing"), tax="0",
        note="His own pine; he fetches it himself.",
    ),
    OrderTold(ODD, 30, quoted=28, slabs=("25-4-6",), others=(("Cutting to length", "1", "15", "sum"),)),
    OrderTold(
        JOINERY, 12, quoted=11, ordered=9, promised=(-1, -3), wanted=-3, slabs=("25-4-3", "25-4-4", "25-3-5"),
        note="Ring before he comes.", paid=((9, "120.00"),),
    ),
    OrderTold(TOVE, 6, quoted=5, promised=(-2, -6), slabs=("25-5-4",), note="A desk for the schoolhouse."),
    OrderTold(
        MAREN, 3, wanted=-120,
        asked_for=(
            {"species_key": WALNUT, "quarters": 8.0, "slab_kind": "live_edge", "min_width_in": 16.0,
             "length_in": 96.0, "count": 2, "target_mc_pct": 8.0},
            {"species_key": WALNUT, "quarters": 8.0, "count": 2, "matched": True, "length_in": 96.0,
             "target_mc_pct": 8.0},
        ),
    ),
    OrderTold(
        JOINERY, 1, wanted=-200,
        asked_for=(
            {"species_key": WHITE_OAK, "quarters": 12.0, "bf_wanted": 60.0, "min_width_in": 6.0,
             "target_mc_pct": 9.0},
        ),
    ),
)  # fmt: skip
WISHES: tuple[tuple[str, str, dict[str, Any]], ...] = (
    (TOVE, "Wide walnut for table tops", {"species_key": WALNUT, "quarters": 8.0, "min_width_in": 18.0}),
    (CORVIN, "Cherry with figure", {"species_key": CHERRY, "figure": "*"}),
)
