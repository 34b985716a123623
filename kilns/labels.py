"""What the label of a kiln says; its code opens the kiln's page."""

from django.db.models import Q
from django.urls import reverse

from kilns.models import Kiln
from yard import quantities as shown
from yard.services.label_kinds import LabelKind, register


def kiln_lines(kiln: Kiln) -> tuple[str, ...]:
    """Where it stands, and the largest stack that it takes."""
    size = " × ".join(
        shown.length_ft(value) for value in (kiln.stack_length_ft, kiln.stack_width_ft, kiln.stack_height_ft)
    )
    return (f"Kiln, bay {kiln.bay.name}", f"Stacks to {size}")


def join() -> None:
    """Let kilns carry labels."""
    register(
        LabelKind(
            "kiln", "Kilns", Kiln, lambda: Kiln.objects.select_related("bay"), Q(bay__closed_on__isnull=True),
            "name", kiln_lines, lambda kiln: reverse("kilns:kiln-page", args=[kiln.pk]),
        )
    )  # fmt: skip
