"""Filters for the figures that issued documents keep as text."""

from datetime import date
from decimal import Decimal

from django import template

from yard import quantities
from yard.shown_units import showing, shown

register = template.Library()


@register.filter
def amount(text: str, currency: str) -> str:
    """An amount kept as text, in the document's own currency: to the cent, or finer where a price is."""
    exact = Decimal(text)
    if exact.as_tuple().exponent < -2:  # a price of 7.125 a board foot is printed as it is
        return f"{exact.normalize():f} {currency}"
    with showing(shown().units, currency):
        return quantities.money(exact)


@register.filter
def money_in(figure: Decimal, currency: str) -> str:
    """An amount to the cent in an order's own currency, whatever the yard's is today."""
    with showing(shown().units, currency):
        return quantities.money(figure)


@register.filter
def iso_day(text: str) -> str:
    """A day kept as 2026-03-02, as `2 Mar 2026`."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return text
    return f"{day.day} {day:%b %Y}"


@register.filter
def rate(pct: Decimal) -> str:
    """A rate without needless noughts: `5.5%`."""
    return f"{plain(pct)}%"


@register.filter
def plain(figure: Decimal) -> str:
    """A figure without needless noughts: 12.500 is `12.5`."""
    return f"{figure.normalize() + 0:f}"


@register.filter
def price(figure: Decimal) -> str:
    """A price in the yard's currency: to the cent, or finer where it is finer, such as 7.125 a board foot."""
    return amount(plain(figure) if figure != figure.quantize(Decimal("0.01")) else f"{figure:.2f}", shown().currency)
