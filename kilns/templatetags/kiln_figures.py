"""Filters for figures of kilns in the person's units: heat flows, R-values, energy, sun."""

from decimal import Decimal

from django import template

from kilns.forms.figure_fields import R_IN_RSI
from kilns.physics.solar import BTU_PER_WH, M2_PER_FT2
from yard.quantities import NOTHING, money
from yard.shown_units import shown

register = template.Library()


@register.filter
def watts(value: float | None) -> str:
    """A heat flow or power, from watts: kilowatts from 10,000 on."""
    if value is None:
        return NOTHING
    return f"{value / 1000:,.1f} kW" if abs(value) >= 10_000 else f"{value:,.0f} W"


@register.filter
def r_value(value: float | None) -> str:
    """An R-value, from h ft² °F/Btu."""
    if value is None:
        return NOTHING
    return f"{value * R_IN_RSI:.2f} m² K/W" if shown().metric else f"R {value:.1f}"


@register.filter
def sun_a_day(value: float | None) -> str:
    """Radiation of a day, from Btu/ft²."""
    if value is None:
        return NOTHING
    if shown().metric:
        return f"{value / M2_PER_FT2 / BTU_PER_WH / 1000:.1f} kWh/m²"
    return f"{value:,.0f} Btu/ft²"


@register.filter
def kwh(value: float | None) -> str:
    """Energy, from kWh."""
    return NOTHING if value is None else f"{value:,.1f} kWh"


@register.filter
def kept_money(value: str | None) -> str:
    """An amount as a plan or a closing keeps it, in the yard's currency."""
    return NOTHING if value is None else money(Decimal(str(value)))


@register.filter
def hours(value: float | None) -> str:
    """A time in hours: days too from two days on."""
    if value is None:
        return NOTHING
    return f"{value / 24:.1f} days" if value >= 48 else f"{value:.0f} hours"
