"""Filters for widths in a row: `{% load widths %}` `{{ slab.widths_in|widths }}` `{{ left.depth_in|about_in }}`."""

from collections.abc import Mapping, Sequence

from django import template

from yard import quantities
from yard.shown_units import shown
from yard.wood.units import MM_PER_IN

register = template.Library()


@register.filter
def widths(values_in: Sequence[float]) -> str:
    """Widths from inches with the unit once: `18, 16 1/2, 15 in`."""
    written = [quantities.width(value) for value in values_in]
    if not written:
        return quantities.NOTHING
    unit = written[-1].rpartition(" ")[2]
    return f"{', '.join(one.removesuffix(f' {unit}') for one in written)} {unit}"


@register.filter
def tally(lines: Sequence[Mapping[str, float]]) -> str:
    """A lot's boards by width: `2 × 6, 1 × 7, 3 × 8 in`."""
    counts: dict[float, int] = {}
    for line in lines:
        counts[line["width_in"]] = counts.get(line["width_in"], 0) + int(line["count"])
    ordered = sorted(counts.items())
    unit = quantities.width(ordered[-1][0]).rpartition(" ")[2] if ordered else ""
    words = [f"{count} × {quantities.width(width).removesuffix(f' {unit}')}" for width, count in ordered]
    return f"{', '.join(words)} {unit}".strip()


@register.filter
def about_in(value_in: float) -> str:
    """A rough size from inches: to the half inch, or the centimetre."""
    if shown().metric:
        return f"about {value_in * MM_PER_IN / 10:.0f} cm"
    return f"about {quantities.width(round(value_in * 2) / 2)}"
