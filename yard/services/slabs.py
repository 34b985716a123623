"""Slabs: the one module that writes their table (where a slab lies is written by the stack service)."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import IntegrityError, transaction

from yard.models import Contact, Log, LogState, Person, Slab, SlabKind, SlabState
from yard.models.base import new_code
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.services.refused import SlabRefused
from yard.services.slab_fits import refuse_unless_fits
from yard.services.slab_sizes import sizes_set
from yard.services.slab_tags import next_position, slab_tag_suggest, tag_taken, void_tag
from yard.services.slab_ties import refuse_tied

__all__ = [
    "ChangedMeanwhile", "Piece", "SlabFields", "SlabRefused", "TagTaken", "slab_add", "slab_change",
    "slab_split", "slab_tag_suggest", "slab_void",
]  # fmt: skip

MOST_TRIES = 20  # two people sawing untagged wood at the same moment take the same next tag; then try again
SIZE_FIELDS = frozenset({"kind", "count", "quarters", "thickness_in", "widths_in", "tally", "length_in", "area_rule"})
DRY_SIZE_FIELDS = frozenset({"dry_thickness_in", "dry_widths_in", "dry_length_in"})
SPLIT_SLACK = 1.02  # pieces may measure 2% over what they came from; the program's own guard, no source


class TagTaken(SlabRefused):
    """Another slab has this tag already."""

    def __init__(self, tag: str) -> None:
        self.tag = tag
        super().__init__(
            f"Another slab has the tag {tag}: type another, or leave it empty for the next free one.", "tag"
        )


class SlabFields(TypedDict, total=False):
    """What a person may set on a slab; sizes in inches, `tally` as the model describes."""

    tag: str
    position: int | None
    species_key: str
    owner: Contact | None
    kind: str
    count: int
    quarters: float
    thickness_in: float
    widths_in: Sequence[float]
    tally: Sequence[Mapping[str, float]]
    length_in: float
    width_basis: str
    area_rule: str
    dry_thickness_in: float | None
    dry_widths_in: Sequence[float]
    dry_length_in: float | None
    dry_mc_pct: float | None
    dry_on: date | None
    grade: str
    figure: str
    has_crotch: bool
    has_wane: bool
    has_knots: bool
    has_checks: bool
    has_pith: bool
    matched_set: str
    sawn_on: date
    ends_sealed_on: date | None
    price: Decimal | None
    hold_back: bool
    note: str


EDITABLE = frozenset(SlabFields.__annotations__)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece that a slab is split into, as measured now; an empty tag takes the next free one."""

    thickness_in: float
    length_in: float
    widths_in: tuple[float, ...] = ()
    tally: tuple[Mapping[str, float], ...] = ()
    kind: str = SlabKind.BOARD
    count: int = 1
    quarters: float | None = None
    tag: str = ""
    grade: str = ""


@transaction.atomic
def slab_add(
    *,
    by: Person | None,
    log: Log | None = None,
    client_key: uuid.UUID | str | None = None,
    **fields: Unpack[SlabFields],
) -> Slab:
    """Add a slab of `log`, next in sawing order, or one bought in; the same key twice is one slab.

    Needs kind, thickness_in, length_in, sawn_on, widths_in or tally, and species_key where there is no log.
    Errors: TagTaken; SlabRefused for a void log; OutsideRange for sizes that cannot be.
    """
    key = uuid.UUID(str(client_key)) if client_key else uuid.uuid4()
    if log is not None:
        log = Log.objects.select_for_update().get(pk=log.pk)  # one slab of a log after another
    known = Slab.objects.filter(client_key=key).first()
    if known is not None:
        return known
    if log is not None and log.state == LogState.VOID:
        raise SlabRefused(f"Log {log.tag} is void: take it in again before sawing it.")
    slab = Slab(client_key=key, log=log, **_only_editable(fields))
    if log is not None:
        slab.species_key = slab.species_key or log.species_key
        slab.owner = slab.owner if "owner" in fields else log.owner
        slab.position = slab.position or next_position(log)
        _refuse_place_taken(slab)
    sizes_set(slab, quarters_given="quarters" in fields)
    refuse_unless_fits(slab)
    return _save_new(slab, by)


@transaction.atomic
def slab_change(*, by: Person | None, slab: Slab, version: int, **fields: Unpack[SlabFields]) -> Slab:
    """Change a slab that the caller saw at `version`; unchanged fields are left out of the history.

    Errors: ChangedMeanwhile when somebody saved it since; TagTaken; SlabRefused when void, or for another
    species or thickness while it dries in a stack (its cohort would no longer be alike).
    """
    row = _locked(slab, version)
    if row.state in (SlabState.VOID, SlabState.SPLIT):
        raise SlabRefused(f"{row.tag} is {row.get_state_display().lower()}: it can no longer be changed.")
    before = snapshot(row, fields)
    for name, value in _only_editable(fields).items():
        setattr(row, name, value)
    changes = changes_between(before, snapshot(row, fields))
    if not changes:
        return row
    if row.stack_id and changes.keys() & {"species_key", "thickness_in"}:
        field = "species_key" if "species_key" in changes else "thickness_in"
        raise SlabRefused(
            f"{row.tag} dries in a stack with wood alike: take it off, change it, and stack it again.",
            field,
        )
    if "owner" in changes:
        refuse_tied(row, "owner")
    if "tag" in changes:
        _refuse_taken(row.tag, but=row.pk)
    if "position" in changes:
        _refuse_place_taken(row)
    if changes.keys() & (SIZE_FIELDS | DRY_SIZE_FIELDS):
        sizes_set(row, quarters_given=True)
        refuse_unless_fits(row)
    _save_version(row)
    history_add(row, by=by, action="changed", changes=changes)
    return row


@transaction.atomic
def slab_void(*, by: Person | None, slab: Slab, reason: str, version: int | None = None) -> Slab:
    """Void a slab entered by mistake; its record is kept, its tag and place in the log are free again.

    Errors: SlabRefused without a reason, or when the slab is in a stack or gone; ChangedMeanwhile.
    """
    row = _locked(slab, version)
    if row.state == SlabState.VOID:
        return row
    if not reason.strip():
        raise SlabRefused("Say why it is void, in a few words.", "reason")
    if row.state not in (SlabState.SAWN, SlabState.DRY):
        raise SlabRefused(
            f"{row.tag} is {row.get_state_display().lower()}: only a piece that lies loose can be made void. "
            "Take it off its stack or out of its order first."
        )
    refuse_tied(row)
    state, tag = row.state, row.tag
    row.tag = void_tag(tag)
    row.state, row.void_reason = SlabState.VOID, reason.strip()[:200]
    _save_version(row)
    changes = {"state": [state, SlabState.VOID.value], "tag": [tag, row.tag]}
    history_add(row, by=by, action="voided", changes=changes, note=row.void_reason)
    return row


@transaction.atomic
def slab_split(
    *, by: Person | None, slab: Slab, pieces: Sequence[Piece], version: int | None = None, note: str = ""
) -> list[Slab]:
    """Split a lot or a board into pieces that each get a tag; the whole is kept as split, with its record.

    Errors: SlabRefused for no pieces, for pieces that hold more wood than the whole, and for a slab that is
    in a stack or gone; TagTaken; ChangedMeanwhile.
    """
    row = _locked(slab, version)
    if row.state not in (SlabState.SAWN, SlabState.DRY):
        raise SlabRefused(f"{row.tag} is {row.get_state_display().lower()}: take it off its stack before splitting it.")
    if not pieces:
        raise SlabRefused("Type at least one piece.", "pieces")
    refuse_tied(row)
    children = [_child(row, piece) for piece in pieces]
    whole_in3 = row.area_in2 * row.thickness_in
    parts_in3 = sum(child.area_in2 * child.thickness_in for child in children)
    if parts_in3 > whole_in3 * SPLIT_SLACK:
        raise SlabRefused(
            f"The pieces hold {parts_in3 / 144:.1f} bf of wood, {row.tag} only {whole_in3 / 144:.1f}: "
            "look at their sizes again.",
            "pieces",
        )
    state, row.state = row.state, SlabState.SPLIT
    _save_version(row)
    children = [_save_new(child, by) for child in children]
    tags = ", ".join(child.tag for child in children)
    changes = {"state": [state, SlabState.SPLIT.value]}
    history_add(row, by=by, action="split", changes=changes, note=f"into {tags}. {note}".strip()[:300])
    return children


def _child(parent: Slab, piece: Piece) -> Slab:
    child = Slab(
        split_from=parent,
        log=parent.log,
        tag=piece.tag,
        species_key=parent.species_key,
        owner=parent.owner,
        kind=piece.kind,
        count=piece.count,
        quarters=piece.quarters or parent.quarters,
        thickness_in=piece.thickness_in,
        widths_in=list(piece.widths_in),
        tally=[dict(line) for line in piece.tally],
        length_in=piece.length_in,
        width_basis=parent.width_basis,
        area_rule=parent.area_rule,
        grade=piece.grade or parent.grade,
        figure=parent.figure,
        sawn_on=parent.sawn_on,
        state=parent.state,
        cohort=parent.cohort,
        bay=parent.bay,
        dry_mc_pct=parent.dry_mc_pct,
        dry_on=parent.dry_on,
    )
    if parent.state == SlabState.DRY:  # cut from dry wood: what is measured now is the dry tally
        child.dry_thickness_in, child.dry_length_in = piece.thickness_in, piece.length_in
        child.dry_widths_in = list(piece.widths_in)
    sizes_set(child, quarters_given=True)
    return child


def _save_new(slab: Slab, by: Person | None) -> Slab:
    """Insert with its tag, the next free one where none was typed, and write the history."""
    typed = slab.tag.strip()
    if typed:
        _refuse_taken(typed)
    for _ in range(MOST_TRIES):
        slab.tag = typed or slab_tag_suggest(log=slab.log, parent=slab.split_from)
        try:
            with transaction.atomic():
                slab.save(force_insert=True)
        except IntegrityError:
            known = Slab.objects.filter(client_key=slab.client_key).first()
            if known is not None:
                return known
            if typed and tag_taken(typed):
                raise TagTaken(typed) from None
            if Slab.objects.filter(code=slab.code).exists():
                slab.code = new_code()  # one in thousands of new codes meets one that is there
            elif not tag_taken(slab.tag):
                raise
            continue
        history_add(slab, by=by, action="added")
        return slab
    raise TagTaken(slab.tag)


def _locked(slab: Slab, version: int | None) -> Slab:
    """The row as it stands, locked until the transaction ends."""
    row = Slab.objects.select_for_update(of=("self",)).get(pk=slab.pk)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    return row


def _save_version(row: Slab) -> None:
    row.version += 1
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        if tag_taken(row.tag, but=row.pk):  # somebody gave it to another slab at this very moment
            raise TagTaken(row.tag) from None
        raise


def _only_editable(fields: Mapping[str, Any]) -> dict[str, Any]:
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on a slab: {', '.join(sorted(unknown))}")
    return {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}


def _refuse_place_taken(slab: Slab) -> None:
    others = Slab.objects.filter(log=slab.log, position=slab.position).exclude(state=SlabState.VOID)
    if slab.log_id and slab.position and others.exclude(pk=slab.pk).exists():
        raise SlabRefused(f"Place {slab.position} in log {slab.log} is taken: give another.", "position")


def _refuse_taken(tag: str, but: int | None = None) -> None:
    if not tag:
        raise SlabRefused("A slab keeps a tag: type one.", "tag")
    if tag_taken(tag, but=but):
        raise TagTaken(tag.strip())
