"""Advice for building a stack: sticker spacing and thickness, height against base. Rows of stacking_rules.csv.

Each piece of advice carries its source and how well that is known; a rule of thumb says so itself.
"""

import csv
from dataclasses import dataclass
from functools import cache

from yard.wood.ranges import require_range
from yard.wood.sources import DATA_DIR, source


@dataclass(frozen=True, slots=True)
class StackingRule:
    """One rule: bounds in its unit (None where open), the advice in words, source and provenance."""

    key: str
    low: float | None
    high: float | None
    unit: str
    words: str
    source_key: str
    provenance: str

    @property
    def source(self) -> str:
        """The publication behind the rule, as a line for a reader."""
        return source(self.source_key).text


@cache
def all_stacking_rules() -> tuple[StackingRule, ...]:
    """Every rule, in the order of the table.

    >>> all_stacking_rules()[0].source_key
    'TM-38-400'
    """
    with (DATA_DIR / "stacking_rules.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(
            StackingRule(
                key=row["key"],
                low=float(row["low"]) if row["low"] else None,
                high=float(row["high"]) if row["high"] else None,
                unit=row["unit"],
                words=row["words"],
                source_key=row["source_key"],
                provenance=row["provenance"],
            )
            for row in csv.DictReader(lines)
        )


def stacking_rule(key: str) -> StackingRule:
    """Return the rule with that key; a key that is not in the table is a KeyError.

    >>> stacking_rule("height-by-hand").high
    16.0
    """
    for rule in all_stacking_rules():
        if rule.key == key:
            return rule
    raise KeyError(f"no rule {key!r} in yard/wood/data/stacking_rules.csv")


def sticker_spacing(thickness_in: float, hardwood: bool = True) -> StackingRule:
    """Return the sticker spacing to aim for, middle to middle.

    Parameters: thickness_in [in], as sawn, 0.1 to 40; hardwood, or softwood. Returns: a rule with its bounds [in].
    Errors: OutsideRange.
    Source: WENGERT-QA for hardwood; FPL-GTR-117, from memory, for the rest.

    >>> rule = sticker_spacing(1.0)
    >>> rule.low, rule.high, rule.source_key
    (12.0, 16.0, 'WENGERT-QA')
    >>> sticker_spacing(2.125).high
    18.0
    """
    require_range("thickness", thickness_in, 0.1, 40.0, "in")
    if not hardwood:
        return stacking_rule("sticker-spacing-range")
    # A 4/4 board is sawn up to 1-1/8 in: it is the 1 in stock of the rule.
    thin = thickness_in <= 1.125
    return stacking_rule("sticker-spacing-thin-hardwood" if thin else "sticker-spacing-good-hardwood")


def sticker_thickness(thickness_in: float, mc_pct: float, hardwood: bool = True) -> StackingRule:
    """Return the sticker thickness to use for wood as wet as it is now.

    Parameters: thickness_in [in], as sawn, 0.1 to 40; mc_pct [%], 0 to 400; hardwood, or softwood.
    Returns: a rule with its least thickness [in], or with no more than a steadying sticker when the wood is dry.
    Errors: OutsideRange. Source: TM-38-400 chapter 5.

    >>> sticker_thickness(2.125, 80.0).low, sticker_thickness(1.0, 80.0).low, sticker_thickness(1.0, 22.0).low
    (1.0, 0.75, 0.5)
    """
    require_range("thickness", thickness_in, 0.1, 40.0, "in")
    require_range("moisture content", mc_pct, 0.0, 400.0, "%")
    if mc_pct <= 19.0:
        return stacking_rule("no-air-stickers-below")
    if mc_pct <= 24.0:
        return stacking_rule("sticker-thickness-nearly-dry")
    thick = hardwood and thickness_in >= 1.25
    return stacking_rule("sticker-thickness-green-thick-hardwood" if thick else "sticker-thickness-green")


def height_cautions(height_in: float, base_width_ft: float, by_hand: bool = True) -> tuple[StackingRule, ...]:
    """Return the rules that a stack's height breaks, the gravest first; none where it stands within them.

    Parameters: height_in [in] above its foundation, 0 to 1,000; base_width_ft [ft], above 0 to 40; by_hand
    where people, not a machine, put the wood up. Errors: OutsideRange.
    Source: CA-T8-1549 (the federal rule, OSHA-1926.250, says the same from memory); height to base is common
    practice, no source. Local rules and the ground come first.

    >>> [rule.key for rule in height_cautions(150.0, 4.0)]
    ['height-to-base']
    >>> [rule.key for rule in height_cautions(250.0, 8.0)], height_cautions(48.0, 4.0)
    (['height-by-machine', 'height-by-hand'], ())
    """
    require_range("stack height", height_in, 0.0, 1000.0, "in")
    require_range("base width", base_width_ft, 0.01, 40.0, "ft")
    broken = []
    limits_ft = {
        "height-by-machine": 1.0,
        "height-by-hand": 1.0 if by_hand else None,
        "height-to-base": base_width_ft,
    }
    for key, per_unit_ft in limits_ft.items():
        rule = stacking_rule(key)
        if per_unit_ft is not None and rule.high is not None and height_in > rule.high * per_unit_ft * 12.0:
            broken.append(rule)
    return tuple(broken)
