"""Which price a piece of wood has on a day, and which rule says so.

All rules of a day are read once, whatever the number of lines. Of the rules that fit, the one with most conditions
wins; of as many, the one with the weightier condition (species, then figure, grade, kind, thickness, width, length);
then the one from the later day. A slab's own price goes before all of them.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sales.models import Per, PriceOf, PriceRule
from sales.services.dry_width import dry_length_in, dry_width
from sales.services.footage import DRY_MC_PCT
from yard import quantities as shown
from yard.models import Slab, SlabKind
from yard.wood.species import UnknownSpecies, species

OWN_PRICE = "The slab's own price"


@dataclass(frozen=True, slots=True)
class Wood:
    """What a rule asks about: a slab, or wood as a buyer asks for it."""

    species_key: str
    quarters: float | None = None
    grade: str = ""
    kind: str = ""
    width_in: float | None = None
    length_in: float | None = None
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Price:
    """A price, what it is for, and the rule that made it; no rule where the slab has a price of its own."""

    amount: Decimal
    per: str
    words: str
    rule: PriceRule | None = None
    minimum: Decimal | None = None


def price_quantity(slab: Slab, price: Price, bf: Decimal) -> Decimal:
    """How many of its unit a slab is: board feet, or pieces; a lot's own price is for all that bears its tag.

    `bf`: the slab's footage [bf].
    """
    if price.per == Per.BF:
        return bf
    return Decimal(1 if price.words == OWN_PRICE or price.per != Per.SLAB else slab.count)


def wood_of(slab: Slab, mc_pct: float = DRY_MC_PCT) -> Wood:
    """What the rules ask about a slab: its mean width and length as dry wood, at `mc_pct` [%] where it dries."""
    return Wood(
        slab.species_key, slab.quarters, slab.grade, slab.kind, dry_width(slab, mc_pct).width_in,
        dry_length_in(slab), slab.figure,
    )  # fmt: skip


class PriceBook:
    """The rules of one day, by what they are for and by species."""

    def __init__(self, on: date, rules: Iterable[PriceRule] | None = None) -> None:
        self.on = on
        self._rules: dict[tuple[str, str], list[PriceRule]] = {}
        for rule in PriceRule.objects.valid_on(on) if rules is None else rules:
            self._rules.setdefault((rule.what, rule.species_key), []).append(rule)

    def price(self, slab: Slab, mc_pct: float = DRY_MC_PCT) -> Price | None:
        """What a slab costs: its own price, or by the rule that fits best; None where there is neither."""
        if slab.price is not None:
            return Price(slab.price, Per.SLAB, OWN_PRICE)
        return self.price_of(wood_of(slab, mc_pct))

    def price_of(self, wood: Wood) -> Price | None:
        """What such wood costs."""
        return self._best(PriceOf.WOOD, wood)

    def charge(self, work: str, wood: Wood) -> Price | None:
        """What drying, planing or sanitising such wood costs."""
        return self._best(work, wood)

    def fitting(self, what: str, wood: Wood) -> list[PriceRule]:
        """All rules that fit such wood, the one that makes its price first."""
        rules = [*self._rules.get((what, wood.species_key), ())]
        rules += self._rules.get((what, ""), ()) if wood.species_key else ()
        return sorted((rule for rule in rules if fits(rule, wood)), key=weight, reverse=True)

    def _best(self, what: str, wood: Wood) -> Price | None:
        fitting = self.fitting(what, wood)
        return price_by(fitting[0]) if fitting else None


def price_by(rule: PriceRule) -> Price:
    """The price that a rule makes."""
    return Price(rule.price, rule.per, rule_words(rule), rule, rule.minimum)


def fits(rule: PriceRule, wood: Wood) -> bool:
    """Whether all conditions of a rule are met; a size that is not known meets none."""
    same = (
        (rule.species_key, wood.species_key), (rule.quarters, wood.quarters),
        (rule.grade.lower(), wood.grade.lower()), (rule.kind, wood.kind),
    )  # fmt: skip
    if any(asked and asked != has for asked, has in same):
        return False
    if rule.figure == PriceRule.ANY_FIGURE:
        if not wood.figure:
            return False
    elif rule.figure and rule.figure.lower() not in wood.figure.lower():
        return False
    return _in_class(wood.width_in, rule.width_from_in, rule.width_under_in) and _in_class(
        wood.length_in, rule.length_from_in, rule.length_under_in
    )


def _in_class(size: float | None, low: float | None, under: float | None) -> bool:
    if low is None and under is None:
        return True
    return size is not None and (low is None or size >= low) and (under is None or size < under)


def weight(rule: PriceRule) -> tuple[object, ...]:
    """How much a rule asks, for comparing: more conditions, weightier ones, the later day."""
    asked = (
        bool(rule.species_key), bool(rule.figure), bool(rule.grade), bool(rule.kind), rule.quarters is not None,
        rule.width_from_in is not None or rule.width_under_in is not None,
        rule.length_from_in is not None or rule.length_under_in is not None,
    )  # fmt: skip
    return (sum(asked), asked, rule.figure not in ("", PriceRule.ANY_FIGURE), rule.valid_from, rule.pk or 0)


def rule_words(rule: PriceRule) -> str:
    """A rule as a person says it: what it is for, and from when."""
    return f"{wood_words(rule)}, from {rule.valid_from.day} {rule.valid_from:%b %Y}"


def wood_words(rule: PriceRule) -> str:
    """What wood a rule is for."""
    words = [_species_words(rule.species_key)]
    if rule.quarters is not None:
        words.append(shown.quarters(rule.quarters))
    if rule.grade:
        words.append(rule.grade)
    if rule.kind:
        words.append(SlabKind(rule.kind).label.lower())
    words += _class_words("wide", rule.width_from_in, rule.width_under_in, shown.width)
    words += _class_words("long", rule.length_from_in, rule.length_under_in, shown.length_in)
    if rule.figure:
        words.append("with figure" if rule.figure == PriceRule.ANY_FIGURE else rule.figure)
    return ", ".join(words)


def _species_words(key: str) -> str:
    try:
        return species(key).plain_name.capitalize() if key else "Any wood"
    except UnknownSpecies:
        return key


def _class_words(side: str, low: float | None, under: float | None, write: Callable[[float], str]) -> list[str]:
    if low is not None and under is not None:
        return [f"{write(low)} to under {write(under)} {side}"]
    if low is not None:
        return [f"{write(low)} and more {side}"]
    return [f"under {write(under)} {side}"] if under is not None else []
