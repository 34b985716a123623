"""What an estimate says about itself, in plain words."""

from collections.abc import Sequence

from yard.wood.air_history import Air
from yard.wood.conflicts import Conflict
from yard.wood.ensemble import LEAST_EFFECTIVE
from yard.wood.observations import Observation, OvenSection, PinReading, WeighingRatio
from yard.wood.priors import Prior

NOTABLE = 1.25
# a factor on the spreads that is worth a sentence (our choice)


def estimate_reasons(
    observed: Sequence[Observation],
    ignored: Sequence[tuple[Observation, str]],
    conflicts: Sequence[Conflict],
    widened: float,
    effective_size: float,
    air: Air,
    prior: Prior,
) -> tuple[str, ...]:
    """Return the sentences that explain an estimate, the most useful first.

    >>> from yard.wood.air_history import air as make_air
    >>> from yard.wood.priors import starting_prior
    >>> nothing = make_air([], emc_pct=12.0)
    >>> estimate_reasons([], [], [], 1.0, 4096.0, nothing, starting_prior("oak-northern-red"))[0]
    'Nothing measured yet: the figures stand on published drying times alone.'
    """
    said = [_what_it_stands_on(observed, prior)]
    weighed = any(isinstance(one, WeighingRatio) for one in observed)
    fixed = any(isinstance(one, OvenSection | PinReading) for one in observed)
    if weighed and not fixed:
        said.append("Weighings alone do not fix MC: cut one oven section or take a pin reading below 28%.")
    said += [conflict.words for conflict in conflicts]
    if widened >= NOTABLE:
        said.append(
            "The observations scatter more than they should: each is believed as if its error were "
            f"{widened:.1f} times as large."
        )
    said += [f"Not used: {one}, {why}." for one, why in ignored]
    frozen = float(air.step_days[air.frozen].sum()) if len(air) else 0.0
    if frozen >= 1.0:
        said.append(f"The air was below freezing on {frozen:.0f} of {air.days:.0f} days: little moved then.")
    if effective_size < LEAST_EFFECTIVE:
        said.append("Few simulated boards agree with all observations: take the interval as rough.")
    said.append("Rain, sun and drying through the ends are outside the model: weighings correct for them.")
    return tuple(said)


def _what_it_stands_on(observed: Sequence[Observation], prior: Prior) -> str:
    if not observed:
        return f"Nothing measured yet: the figures stand on {prior.basis} alone."
    kinds: dict[str, int] = {}
    for one in observed:
        name = _kind(one)
        kinds[name] = kinds.get(name, 0) + 1
    counted = ", ".join(f"{number} {name}{'s' if number > 1 else ''}" for name, number in kinds.items())
    return f"Stands on {counted} and {prior.basis}."


def _kind(one: Observation) -> str:
    names = {
        "WeighingRatio": "weighing",
        "StackWeighing": "stack weighing",
        "OvenSection": "oven section",
        "PinReading": "meter reading",
        "CondensateCaught": "catch of water",
    }
    return names[type(one).__name__]
