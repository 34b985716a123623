"""Filters that write quantities in the person's units: the stored unit is in the filter's description.

`{{ slab.thickness_in|thickness }}` `{{ slab.mean_width_in|width }}` `{{ slab.length_in|length_in }}`
`{{ log.length_ft|length_ft }}` `{{ weighing.weight_lb|weight }}` `{{ bay.steady_temp_f|temp }}`
`{{ slab.green_bf|bf }}` `{{ log.doyle_bf|scale_bf }}` `{{ estimate.mean_pct|mc }}` `{{ slab.price|money }}`
"""

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone

from yard import quantities
from yard.wood.species import UnknownSpecies, species

register = template.Library()

for write in (
    quantities.thickness, quantities.width, quantities.length_in, quantities.length_ft, quantities.area_in2,
    quantities.area_ft2, quantities.weight, quantities.about_weight, quantities.air_flow, quantities.air_speed,
    quantities.temp, quantities.temp_step, quantities.bf,
    quantities.scale_bf, quantities.ft3, quantities.mc, quantities.pct, quantities.quarters, quantities.elevation,
    quantities.money,
):  # fmt: skip
    register.filter(write.__name__, write)


@register.filter
def species_name(key: str) -> str:
    """A species as spoken, "northern red oak"; a key that the table lost stays as it is."""
    try:
        return species(key).plain_name
    except UnknownSpecies:
        return key


@register.filter
def day(value: Any) -> str:
    """A date as `3 Feb 2026`, in the yard's zone when it is a moment."""
    if not isinstance(value, date):
        return quantities.NOTHING
    if isinstance(value, datetime) and timezone.is_aware(value):
        value = timezone.localtime(value)
    return f"{value.day} {value:%b %Y}"


@register.filter
def moment(value: Any) -> str:
    """A moment as `3 Feb 2026 14:05`, in the yard's zone."""
    if not isinstance(value, datetime):
        return quantities.NOTHING
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    return f"{day(local)} {local:%H:%M}"
