"""Price rules: the one module that writes their table. Which of them makes a price is chosen in `price_book.py`."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.db.models import Q, QuerySet

from sales.models import OrderLine, Per, PriceOf, PriceRule
from yard.models import Person
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.services.refused import Refused

CONDITIONS = (
    "what", "species_key", "quarters", "grade", "kind", "width_from_in", "width_under_in", "length_from_in",
    "length_under_in", "figure",
)  # fmt: skip


class PriceRuleFields(TypedDict, total=False):
    """What a person may set on a rule."""

    what: str
    species_key: str
    quarters: float | None
    grade: str
    kind: str
    width_from_in: float | None
    width_under_in: float | None
    length_from_in: float | None
    length_under_in: float | None
    figure: str
    per: str
    price: Decimal
    minimum: Decimal | None
    valid_from: date
    note: str


EDITABLE = frozenset(PriceRuleFields.__annotations__)


def price_rules(*, what: str = "", species_key: str = "", on: date, past: bool = False) -> QuerySet[PriceRule]:
    """Rules that hold on a day or from a later one; with `past` those that have ended, too."""
    found = PriceRule.objects.all()
    if not past:
        found = found.filter(Q(ended_on__isnull=True) | Q(ended_on__gt=on))
    if what:
        found = found.filter(what=what)
    if species_key:
        found = found.filter(species_key__in=[species_key, ""])
    return found.order_by("what", "species_key", "quarters", "kind", "grade", "valid_from", "id")


@transaction.atomic
def price_rule_add(*, by: Person | None, **fields: Unpack[PriceRuleFields]) -> PriceRule:
    """Add a rule. Errors: Refused when another says the same of the same wood from the same day."""
    rule = PriceRule(**_clean(fields))
    _refuse_unless_sound(rule)
    rule.save()
    history_add(rule, by=by, action="added", changes={"price": [None, rule.price]})
    return rule


@transaction.atomic
def price_rule_change(
    *, by: Person | None, rule: PriceRule, version: int, **fields: Unpack[PriceRuleFields]
) -> PriceRule:
    """Change a rule by which nothing was priced yet. One that was used keeps its price: see `price_rule_follow`.

    Errors: ChangedMeanwhile; Refused when it was used already, or for what cannot be.
    """
    row = _locked(rule, version)
    if OrderLine.objects.filter(rule=row).exists():
        raise Refused("Orders were priced by it: give it a new price from a day instead, so that they keep theirs.")
    before = snapshot(row, fields)
    for name, value in _clean(fields).items():
        setattr(row, name, value)
    _refuse_unless_sound(row)
    return _saved(row, by, changes_between(before, snapshot(row, fields)))


@transaction.atomic
def price_rule_follow(
    *, by: Person | None, rule: PriceRule, version: int, price: Decimal, valid_from: date,
    minimum: Decimal | None = None, note: str = "",
) -> PriceRule:  # fmt: skip
    """Let the same wood cost another price from a day on: the rule ends that day, and a new one begins.

    Errors: ChangedMeanwhile; Refused for a day before the old one began, or when it has ended.
    """
    row = _locked(rule, version)
    if row.ended_on is not None and row.ended_on <= valid_from:
        raise Refused(f"It ends on {row.ended_on:%Y-%m-%d}: add a new rule instead.", "valid_from")
    if valid_from <= row.valid_from:
        raise Refused(f"It counts since {row.valid_from:%Y-%m-%d}: give a later day.", "valid_from")
    row.ended_on = valid_from
    _saved(row, by, {"ended_on": [None, valid_from]})
    same = {name: getattr(row, name) for name in (*CONDITIONS, "per")}
    return price_rule_add(
        by=by, **same, price=price, valid_from=valid_from, minimum=minimum, note=note or row.note
    )  # fmt: skip


@transaction.atomic
def price_rule_end(*, by: Person | None, rule: PriceRule, version: int, on: date) -> PriceRule:
    """Let a rule count no more from a day on. Errors: ChangedMeanwhile; Refused for a day before it began."""
    row = _locked(rule, version)
    if on < row.valid_from:
        raise Refused(f"It counts since {row.valid_from:%Y-%m-%d}: give that day or a later one.", "on")
    before, row.ended_on = row.ended_on, on
    return _saved(row, by, {"ended_on": [before, on]} if before != on else {})


def _locked(rule: PriceRule, version: int) -> PriceRule:
    row = PriceRule.objects.select_for_update().get(pk=rule.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    return row


def _saved(row: PriceRule, by: Person | None, changes: Mapping[str, Any]) -> PriceRule:
    if changes:
        row.version += 1
        row.save()
        history_add(row, by=by, action="changed", changes=changes)
    return row


def _clean(fields: Mapping[str, Any]) -> dict[str, Any]:
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on a price rule: {', '.join(sorted(unknown))}")
    return {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}


def _refuse_unless_sound(rule: PriceRule) -> None:
    for size, words in (("width", "Widths"), ("length", "Lengths")):
        low, high = getattr(rule, f"{size}_from_in"), getattr(rule, f"{size}_under_in")
        if low is not None and high is not None and low >= high:
            raise Refused(f"{words} from a size up to a larger one: look at both.", f"{size}_under_in")
    if rule.what != PriceOf.WOOD and rule.per == Per.SLAB and rule.minimum is not None:
        raise Refused("A minimum belongs to a price by the board foot.", "minimum")
    same = PriceRule.objects.filter(
        valid_from=rule.valid_from, per=rule.per, **{name: getattr(rule, name) for name in CONDITIONS}
    ).exclude(pk=rule.pk)
    if same.filter(Q(ended_on__isnull=True) | Q(ended_on__gt=rule.valid_from)).exists():
        raise Refused("There is a rule for just this wood from this day: change that one.", "valid_from")
