"""What a kiln sheet is asked: the load and the temperatures, and figures of the kiln tried out without saving."""

from dataclasses import dataclass, field, replace

from kilns.models import Kiln, Part
from kilns.physics.kiln_box import KilnBox
from kilns.physics.load_heat import Load
from kilns.physics.walls import Layer
from kilns.services.kiln_boxes import box_of
from kilns.services.kiln_build import Build, build_of
from kilns.services.stack_fits import BOARDS_FILL, StackFit, fit_of
from yard.models import Yard
from yard.wood.ranges import OutsideRange
from yard.wood.safe_rate import safe_rate

# What the sheet starts from (common practice, no source): all of it can be changed on the page.
SPECIES, NOMINAL_IN, MC_PCT = "oak-northern-red", 1.0, 25.0
DRYING_F, DRYING_RH_PCT, SANITISING_F, OUTDOOR_F = 120.0, 40.0, 140.0, 20.0
USUAL_LOSS_PCT = 2.0
# % MC a day, or the wood's safe rate where that is less: an even pace under 30% (common practice, no source)


@dataclass(frozen=True)
class Asked:
    """One question to a sheet; None leaves a figure as it follows from the kiln or the wood."""

    species_key: str = SPECIES
    nominal_in: float = NOMINAL_IN
    board_feet_bf: float | None = None
    mc_pct: float = MC_PCT
    loss_pct_per_day: float | None = None
    drying_f: float = DRYING_F
    drying_rh_pct: float = DRYING_RH_PCT
    sanitising_f: float = SANITISING_F
    outdoor_f: float = OUTDOOR_F
    months: tuple[int, ...] = field(default=tuple(range(1, 13)))
    heater_w: float | None = None
    air_changes_per_h: float | None = None
    tilt_deg: float | None = None
    r_added: float = 0.0
    pints_per_day: float | None = None


@dataclass(frozen=True)
class Question:
    """A kiln as asked about: its box with what is tried out, its load, and the figures that followed."""

    asked: Asked
    kiln: Kiln
    build: Build
    box: KilnBox
    load: Load
    loss_pct_per_day: float
    fit: StackFit | None
    tilt_deg: float | None
    yard: Yard


def question_of(kiln: Kiln, asked: Asked, yard: Yard) -> Question:
    """Work out what a kiln is asked. Errors: OutsideRange where a layer or the load cannot be."""
    build = build_of(kiln)
    box = _tried_out(box_of(kiln, elevation_ft=yard.elevation_ft, build=build), build, asked)
    try:
        fit = fit_of(kiln, asked.nominal_in, BOARDS_FILL)
    except OutsideRange:
        fit = None
    footage = asked.board_feet_bf or (fit.board_feet_bf if fit else 0.0)
    load = Load(asked.species_key, footage, asked.nominal_in, asked.mc_pct)
    loss = asked.loss_pct_per_day
    if loss is None:
        loss = min(USUAL_LOSS_PCT, safe_rate(asked.species_key, asked.nominal_in).pct_per_day)
    tilt = kiln.glazing_tilt_deg if asked.tilt_deg is None else asked.tilt_deg
    return Question(asked, kiln, build, box, load, loss, fit, tilt, yard)


def _tried_out(box: KilnBox, build: Build, asked: Asked) -> KilnBox:
    """The box with the figures that are tried; added insulation goes to all that is not glazing."""
    if asked.heater_w is not None:
        box = replace(box, heater_w=asked.heater_w)
    if asked.air_changes_per_h is not None:
        box = replace(box, air_changes_per_h=asked.air_changes_per_h)
    if asked.pints_per_day is not None and box.dehumidifier is not None:
        box = replace(box, dehumidifier=replace(box.dehumidifier, pints_per_day=asked.pints_per_day))
    if asked.r_added:
        surfaces = tuple(
            one if told.part == Part.GLAZING else replace(one, layers=(*one.layers, _added(asked.r_added)))
            for one, told in zip(box.surfaces, build.surfaces, strict=True)
        )
        box = replace(box, surfaces=surfaces)
    return box


def _added(r_value: float) -> Layer:
    return Layer("insulation tried out", r_value, r_value)
