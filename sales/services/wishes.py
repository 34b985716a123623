"""What buyers like to be told of: the one module that writes their table."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.utils import timezone

from sales.models import PriceRule, Wish
from yard import quantities as shown
from yard.models import Contact, Person, SlabKind
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.services.refused import Refused
from yard.templatetags.quantities import species_name


class WishFields(TypedDict, total=False):
    """What a person may set on a wish; sizes in inches, at least; MC in percent, at most."""

    words: str
    species_key: str
    quarters: float | None
    kind: str
    min_width_in: float | None
    length_in: float | None
    grade: str
    figure: str
    target_mc_pct: float | None
    bf_wanted: float | None
    tell_by_email: bool


EDITABLE = frozenset(WishFields.__annotations__)
GIVEN_UP_AFTER = timedelta(minutes=15)  # far longer than a mail server is waited for; our own choice
NARROWS = EDITABLE - {"words", "tell_by_email", "bf_wanted"}


@transaction.atomic
def wish_add(*, by: Person | None, buyer: Contact, **fields: Unpack[WishFields]) -> Wish:
    """Write down what a buyer likes to be told of. Errors: Refused for nothing, or e-mail without an address."""
    wish = Wish(buyer=buyer, **_clean(fields))
    _refuse_unless_sound(wish)
    wish.save()
    history_add(buyer, by=by, action="wish added", note=wish_words(wish))
    return wish


@transaction.atomic
def wish_change(*, by: Person | None, wish: Wish, version: int, **fields: Unpack[WishFields]) -> Wish:
    """Change a wish that the caller saw at `version`. Errors: ChangedMeanwhile; Refused."""
    row = Wish.objects.select_for_update().get(pk=wish.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    before = snapshot(row, fields)
    for name, value in _clean(fields).items():
        setattr(row, name, value)
    _refuse_unless_sound(row)
    if changes := changes_between(before, snapshot(row, fields)):
        row.version += 1
        row.save()
        history_add(row.buyer, by=by, action="wish changed", changes=changes)
    return row


@transaction.atomic
def wish_close(*, by: Person | None, wish: Wish) -> None:
    """The buyer has it, or wants it no more; it stays to be seen in the history."""
    row = Wish.objects.select_for_update().get(pk=wish.pk)
    if row.closed_at is None:
        row.closed_at = timezone.now()
        row.version += 1
        row.save()
        history_add(row.buyer, by=by, action="wish closed", note=wish_words(row))


@transaction.atomic
def wish_telling(wish: Wish) -> Wish | None:
    """Take a wish to write to its buyer; None while another server does, or once it is closed.

    A server that fell over while it wrote counts as given up after a while: the buyer then rather hears twice.
    """
    row = Wish.objects.select_for_update(of=("self",)).select_related("buyer").filter(pk=wish.pk).first()
    now = timezone.now()
    if row is None or row.closed_at is not None or (row.telling_since and now - row.telling_since < GIVEN_UP_AFTER):
        return None
    row.telling_since = now
    row.save(update_fields=["telling_since", "updated_at"])
    return row


@transaction.atomic
def wish_told(wish: Wish, slab_ids: list[int], trouble: str = "") -> None:
    """Write down of which slabs the buyer was told, or why the message did not go out: then it is tried again."""
    row = Wish.objects.select_for_update(of=("self",)).get(pk=wish.pk)
    row.telling_since = None
    if trouble:
        row.trouble, row.trouble_at = trouble[:200], timezone.now()
    elif slab_ids:
        row.told_at, row.told_of, row.trouble, row.trouble_at = timezone.now(), [*row.told_of, *slab_ids], "", None
    row.save(update_fields=["told_at", "told_of", "telling_since", "trouble", "trouble_at", "updated_at"])


def wish_words(wish: Wish) -> str:
    """A wish in a line: "8/4 black walnut live-edge slab, 20 in and wider"."""
    wood = " ".join(
        part
        for part in (
            shown.quarters(wish.quarters) if wish.quarters else "",
            species_name(wish.species_key) if wish.species_key else "any wood",
            SlabKind(wish.kind).label.lower() if wish.kind else "",
        )
        if part
    )
    parts = [
        f"{shown.number(wish.bf_wanted, 1)} bf of {wood}" if wish.bf_wanted else wood,
        f"{shown.width(wish.min_width_in)} and wider" if wish.min_width_in else "",
        f"{shown.length_in(wish.length_in)} and longer" if wish.length_in else "",
        f"{wish.grade} and better" if wish.grade else "",
        "any figure" if wish.figure == PriceRule.ANY_FIGURE else wish.figure,
        f"at most {wish.target_mc_pct:g}%" if wish.target_mc_pct else "",
    ]
    return ", ".join(part for part in parts if part)


def _refuse_unless_sound(wish: Wish) -> None:
    if not any(getattr(wish, name) for name in NARROWS):
        raise Refused("Say what wood: a species, a thickness, a size, a figure.", "species_key")
    if wish.tell_by_email and not wish.buyer.email:
        raise Refused(f"{wish.buyer} has no e-mail address: add one first, or tell them yourself.", "tell_by_email")


def _clean(fields: Mapping[str, Any]) -> dict[str, Any]:
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on a wish: {', '.join(sorted(unknown))}")
    return {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}
