"""What a label of each kind of thing says: short lines, the most telling first, in the reader's units."""

from collections.abc import Sequence

from yard import quantities as shown
from yard.models import Bay, Log, Sample, Slab, SlabKind, Stack, WidthBasis
from yard.wood.species import UnknownSpecies, species

BASIS_WORDS = {
    WidthBasis.NARROW_FACE: "on the narrow face",
    WidthBasis.MEAN_FACES: "mean of both faces",
    WidthBasis.EDGED: "edged",
}
SPECIES_NAMED = 2


def species_words(key: str) -> str:
    """The plain name of a species; the key itself where the table has none."""
    try:
        name = species(key).plain_name
    except UnknownSpecies:
        name = key
    return name[:1].upper() + name[1:]


def slab_lines(slab: Slab) -> tuple[str, ...]:
    """Species; quarters and kind; footage with its width basis; sizes; whose it is."""
    if slab.kind == SlabKind.LOT:
        what, sizes = f"{slab.count} boards", f"{shown.length_in(slab.length_in)} long"
    else:
        what = slab.get_kind_display().lower()
        sizes = f"{_widths(slab)} × {shown.length_in(slab.length_in)}"
    lines = [
        species_words(slab.species_key),
        f"{shown.quarters(slab.quarters)} {what}",
        f"{_footage(slab)}, {BASIS_WORDS[slab.width_basis]}",
        sizes,
    ]
    return tuple(lines + _owner(slab.owner))


def log_lines(log: Log) -> tuple[str, ...]:
    """Species; sizes; scale by the rule of its ticket; when it arrived; whose it is."""
    scale_bf = getattr(log, f"{log.rule}_bf")
    ends = shown.width(log.small_end_in)
    if log.large_end_in:
        ends = f"{ends} to {shown.width(log.large_end_in)}"
    lines = [species_words(log.species_key), f"{ends} × {shown.length_ft(log.length_ft)}"]
    if scale_bf is not None:
        lines.append(f"{shown.scale_bf(scale_bf)}, {log.get_rule_display()}")
    lines.append(f"Arrived {_day(log.arrived_on)}")
    return tuple(lines + _owner(log.owner))


def stack_lines(stack: Stack) -> tuple[str, ...]:
    """Species; thicknesses; how much; when it was built. Its bay is left out: a stack moves, its label stays."""
    slabs = list(stack.slabs_now.all())
    names = sorted({species_words(slab.species_key) for slab in slabs})
    nominal = sorted({slab.quarters for slab in slabs})
    lines = [_some(names, SPECIES_NAMED)] if names else []
    if nominal:
        lines.append(", ".join(shown.quarters(one) for one in nominal))
    if slabs:
        pieces = sum(slab.count for slab in slabs)
        footage = shown.bf(sum(slab.green_bf for slab in slabs))
        lines.append(f"{pieces} piece{'' if pieces == 1 else 's'}, {footage} green")
    return (*lines, f"Stacked {_day(stack.built_on)}")


def bay_lines(bay: Bay) -> tuple[str, ...]:
    """What stands under the name on a bay's label."""
    return (bay.get_kind_display(), f"Room for {bay.places} stack{'' if bay.places == 1 else 's'}")


def sample_lines(sample: Sample) -> tuple[str, ...]:
    """The stack it speaks for; its wood; where it sits."""
    cohort = sample.cohort
    lines = [
        f"Sample of {cohort.stack.tag}",
        f"{species_words(cohort.species_key)}, {shown.thickness(cohort.thickness_in)}",
    ]
    return tuple(lines + ([sample.place_note] if sample.place_note else []))


def _footage(slab: Slab) -> str:
    return f"{shown.bf(slab.net_bf)} dry" if slab.net_bf else f"{shown.bf(slab.green_bf)} green"


def _widths(slab: Slab) -> str:
    low, high = min(slab.widths_in, default=0.0), max(slab.widths_in, default=0.0)
    if abs(high - low) < 1 / 16:
        return shown.width(high)
    return f"{shown.width(low)} to {shown.width(high)}"


def _owner(owner) -> list[str]:
    return [f"Belongs to {owner}"] if owner is not None else []


def _some(names: Sequence[str], most: int) -> str:
    return ", ".join(names) if len(names) <= most else f"{', '.join(names[:most])} and {len(names) - most} more"


def _day(value) -> str:
    return f"{value.day} {value:%b %Y}"
