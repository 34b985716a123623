"""The workings of footage, logs and stacks: each figure with its formula, inputs and source."""

from collections.abc import Sequence

from yard.wood import board_feet, log_defects, log_rules, stacking, tallies
from yard.wood.stacking_rules import stacking_rule
from yard.wood.working import Working, work_out

_UNDER_AN_INCH = "Anything under 1 in thick counts as 1 in."
_NOT_FOR_PAYMENT = "Footage under one log rule is never turned into another's for payment."
_LENGTH = ("length", "ft")
_END = ("small-end diameter, inside bark", "in")


def working_board_feet(thickness_in: float, width_in: float, length_ft: float) -> Working:
    """Return the working of a board's footage. Parameters and errors: as for `board_feet_bf`.

    >>> working_board_feet(2.0, 10.0, 6.0).result
    10.0
    """
    return work_out(
        "Board feet",
        "thickness × width × length ÷ 12",
        board_feet.board_feet_bf,
        {
            "thickness_in": (thickness_in, "nominal thickness", "in"),
            "width_in": (width_in, "width", "in"),
            "length_ft": (length_ft, *_LENGTH),
        },
        "bf",
        "AHEC-MEASURE",
        notes=(_UNDER_AN_INCH,),
    )


def working_surface_measure(width_in: float, length_ft: float) -> Working:
    """Return the working of a board's surface measure. Parameters and errors: as for `surface_measure_ft2`.

    >>> working_surface_measure(6.5, 8.0).result
    4
    """
    return work_out(
        "Surface measure",
        "width × whole feet of length ÷ 12, to the nearest whole foot",
        board_feet.surface_measure_ft2,
        {"width_in": (width_in, "width", "in"), "length_ft": (length_ft, *_LENGTH)},
        "ft²",
        "NHLA-RULES",
        notes=("An exact half goes up here; within a tally halves go up and down in turn.",),
    )


def _area_words(rule: board_feet.AreaRule) -> str:
    if rule == "simpson":
        return "step ÷ 3 × (first + last + 4 × odd stations + 2 × even stations)"
    return "step × (half the first + the ones between + half the last)"


def working_slab_area(widths_in: Sequence[float], length_in: float, rule: board_feet.AreaRule = "trapezoid") -> Working:
    """Return the working of a live-edge slab's area. Parameters and errors: as for `slab_area_in2`.

    >>> working_slab_area((18.0, 16.5, 15.0, 16.0, 19.0), 96.0).result
    1584.0
    """
    return work_out(
        "Slab area",
        _area_words(rule),
        board_feet.slab_area_in2,
        {
            "widths_in": (tuple(widths_in), "widths at equal stations", "in"),
            "length_in": (length_in, "length", "in"),
            "rule": (rule, "rule", ""),
        },
        "in²",
        "MATH",
    )


def working_slab_board_feet(
    widths_in: Sequence[float], length_in: float, thickness_in: float, rule: board_feet.AreaRule = "trapezoid"
) -> Working:
    """Return the working of a live-edge slab's footage. Parameters and errors: as for `slab_board_feet_bf`.

    >>> working_slab_board_feet((18.0, 16.5, 15.0, 16.0, 19.0), 96.0, 2.0).result
    22.0
    """
    return work_out(
        "Slab footage",
        f"area × thickness ÷ 144; area = {_area_words(rule)}",
        board_feet.slab_board_feet_bf,
        {
            "widths_in": (tuple(widths_in), "widths at equal stations", "in"),
            "length_in": (length_in, "length", "in"),
            "thickness_in": (thickness_in, "nominal thickness", "in"),
            "rule": (rule, "rule", ""),
        },
        "bf",
        "AHEC-MEASURE",
        notes=(_UNDER_AN_INCH,),
    )


def working_net_from_gross(gross_bf: float, loss_pct: float) -> Working:
    """Return the working of a net footage expected from a gross. Parameters: as for `net_from_gross_bf`.

    >>> working_net_from_gross(1000.0, 8.0).result
    920.0
    """
    return work_out(
        "Net footage after drying",
        "gross × (1 − loss ÷ 100)",
        tallies.net_from_gross_bf,
        {"gross_bf": (gross_bf, "gross tally", "bf"), "loss_pct": (loss_pct, "loss in drying", "%")},
        "bf",
        "WENGERT-QA",
    )


# Per rule: title, formula, source, what a reader should know besides.
_LOG_SCALES = {
    "doyle": ("(D − 4)² × L ÷ 16", "CHASE-1913", ("Small logs scale far short, large ones high.",)),
    "scribner": ("(0.79 D² − 2 D − 4) × L ÷ 16", "BRUCE-SCHUMACHER", ()),
    "scribner-decimal-c": (
        "whole tens of (L × factor of D + 5) ÷ 10, one ten more or less where the table differs",
        "NVEL-scrib",
        ("The diameter is taken to the nearest inch, a half down; a part of a foot is dropped.",),
    ),
    "international-quarter-inch": (
        "each 4 ft section 0.905 × (0.22 d² − 0.71 d), d half an inch more each; to the nearest 5",
        "NVEL-scrib",
        ("A part section stands at the butt.",),
    ),
}


def working_log_scale(rule: str, diameter_in: float, length_ft: float) -> Working:
    """Return the working of a log's gross scale. Parameters and errors: as for `log_scale_bf`.

    >>> working = working_log_scale("doyle", 12.0, 16.0)
    >>> working.result, working.function, working.source_key
    (64.0, 'yard.wood.log_rules.doyle_bf', 'CHASE-1913')
    """
    title, function = log_rules.LOG_RULES[rule]
    formula, source_key, notes = _LOG_SCALES[rule]
    return work_out(
        f"Log scale, {title}",
        formula,
        function,
        {"diameter_in": (diameter_in, *_END), "length_ft": (length_ft, *_LENGTH)},
        "bf",
        source_key,
        notes=(*notes, _NOT_FOR_PAYMENT),
    )


def working_net_scale(gross_bf: float, lost_bf: float = 0.0, lost_pct: float = 0.0) -> Working:
    """Return the working of a log's net scale. Parameters and errors: as for `net_scale_bf`.

    >>> working_net_scale(95.0, lost_bf=15.0).result
    80.0
    """
    return work_out(
        "Net log scale",
        "gross − deduction to the nearest board foot",
        log_defects.net_scale_bf,
        {
            "gross_bf": (gross_bf, "gross scale", "bf"),
            "lost_bf": (lost_bf, "deduction", "bf"),
            "lost_pct": (lost_pct, "deduction, share of the gross", "%"),
        },
        "bf",
        "FSH-2409.11",
        provenance="read",
    )


def working_smalian(small_in: float, large_in: float, length_ft: float) -> Working:
    """Return the working of a log's cubic feet from its ends. Parameters and errors: as for `smalian_ft3`.

    >>> round(working_smalian(20.0, 22.0, 10.0).result, 3)
    24.107
    """
    return work_out(
        "Log volume, Smalian",
        "mean of the two end areas × length",
        log_rules.smalian_ft3,
        {
            "small_in": (small_in, *_END),
            "large_in": (large_in, "large-end diameter, inside bark", "in"),
            "length_ft": (length_ft, *_LENGTH),
        },
        "ft³",
        "KERSHAW",
    )


def working_huber(middle_in: float, length_ft: float) -> Working:
    """Return the working of a log's cubic feet from its middle. Parameters and errors: as for `huber_ft3`.

    >>> round(working_huber(24.0, 10.0).result, 3)
    31.416
    """
    return work_out(
        "Log volume, Huber",
        "area at mid length × length",
        log_rules.huber_ft3,
        {
            "middle_in": (middle_in, "mid-length diameter, inside bark", "in"),
            "length_ft": (length_ft, *_LENGTH),
        },
        "ft³",
        "KERSHAW",
    )


def working_courses(height_in: float, thickness_in: float, sticker_in: float) -> Working:
    """Return the working of how many courses fit. Parameters and errors: as for `courses`.

    >>> working_courses(54.0, 1.125, 0.75).result
    29
    """
    return work_out(
        "Courses",
        "whole part of (height + sticker) ÷ (thickness + sticker)",
        stacking.courses,
        {
            "height_in": (height_in, "height", "in"),
            "thickness_in": (thickness_in, "thickness as sawn", "in"),
            "sticker_in": (sticker_in, "sticker thickness", "in"),
        },
        "courses",
        "PACKAGE-FORMULA",
    )


def working_stack_board_feet(
    width_ft: float,
    height_in: float,
    length_ft: float,
    nominal_in: float,
    thickness_in: float,
    sticker_in: float,
    fill: float,
) -> Working:
    """Return the working of a stack's footage. Parameters and errors: as for `stack_board_feet_bf`.

    >>> working_stack_board_feet(4.0, 54.0, 10.0, 1.0, 1.125, 0.75, 0.9).result
    1044.0
    """
    return work_out(
        "Stack footage",
        "courses × width × fill × length × nominal thickness",
        stacking.stack_board_feet_bf,
        {
            "width_ft": (width_ft, "width", "ft"),
            "height_in": (height_in, "height", "in"),
            "length_ft": (length_ft, *_LENGTH),
            "nominal_in": (nominal_in, "nominal thickness", "in"),
            "thickness_in": (thickness_in, "thickness as sawn", "in"),
            "sticker_in": (sticker_in, "sticker thickness", "in"),
            "fill": (fill, "part of a course that is wood", ""),
        },
        "bf",
        "PACKAGE-FORMULA",
        notes=("Reckoned from the outside of the stack, not board by board.", _UNDER_AN_INCH),
    )


def working_open_air_area(
    course_count: int, sticker_in: float, length_ft: float, sticker_count: int, sticker_width_in: float
) -> Working:
    """Return the working of a stack's open air area. Parameters and errors: as for `open_air_area_ft2`.

    >>> round(working_open_air_area(29, 0.75, 10.0, 6, 1.25).result, 2)
    16.41
    """
    return work_out(
        "Open air area",
        "(courses − 1) × sticker thickness × (length − stickers × sticker width) ÷ 144",
        stacking.open_air_area_ft2,
        {
            "course_count": (course_count, "courses", ""),
            "sticker_in": (sticker_in, "sticker thickness", "in"),
            "length_ft": (length_ft, *_LENGTH),
            "sticker_count": (sticker_count, "stickers along the length", ""),
            "sticker_width_in": (sticker_width_in, "sticker width", "in"),
        },
        "ft²",
        "PACKAGE-FORMULA",
    )


def working_stack_weight(board_weights_lb: Sequence[float], board_count: int) -> Working:
    """Return the working of a stack's weight from boards weighed. Parameters: as for `stack_weight_lb`.

    >>> working_stack_weight([20.0, 22.0], 100).result
    2100.0
    """
    weight = stacking.stack_weight_lb(board_weights_lb, board_count)
    rule = stacking_rule("weight-range")
    return work_out(
        "Stack weight",
        "mean of the boards weighed × boards in the stack",
        stacking.stack_weight_only_lb,
        {
            "board_weights_lb": (tuple(board_weights_lb), "boards weighed", "lb"),
            "board_count": (board_count, "boards in the stack", ""),
        },
        "lb",
        rule.source_key,
        notes=(f"{weight.low_lb:,.0f} to {weight.high_lb:,.0f} lb; {weight.method}.", *weight.reasons),
    )
