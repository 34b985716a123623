"""The kinds of thing that carry a label: how they are fetched, what the label says, which page the code opens.

Another app adds its own in its `AppConfig.ready`:
`register(LabelKind("kiln", "Kilns", Kiln, ...))`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, Q, QuerySet
from django.urls import reverse

from yard.models import Bay, Log, LogState, Sample, Slab, Stack
from yard.services import label_words


@dataclass(frozen=True)
class LabelKind:
    """One kind. `fetch` gives all of them with what their labels need; `standing` those that are still there."""

    noun: str
    words: str
    model: type[Model]
    fetch: Callable[[], QuerySet]
    standing: Q
    tag_field: str
    lines: Callable[[Any], Sequence[str]]
    page: Callable[[Any], str]


def _page(url_name: str) -> Callable[[Any], str]:
    return lambda thing: reverse(url_name, args=[thing.pk])


KINDS: dict[str, LabelKind] = {}


def register(kind: LabelKind) -> None:
    """Let a kind of thing carry labels."""
    KINDS[kind.noun] = kind


register(
    LabelKind(
        "slab", "Slabs", Slab, lambda: Slab.objects.select_related("owner", "log"),
        ~Q(state__in=["sold", "returned", "split", "void"]), "tag", label_words.slab_lines, _page("yard:slab-page"),
    )
)  # fmt: skip
register(
    LabelKind(
        "stack", "Stacks", Stack, lambda: Stack.objects.prefetch_related("slabs_now"),
        Q(taken_down_at__isnull=True), "tag", label_words.stack_lines, _page("yard:stack-page"),
    )
)  # fmt: skip
register(
    LabelKind(
        "log", "Logs", Log, lambda: Log.objects.select_related("owner"),
        ~Q(state=LogState.VOID), "tag", label_words.log_lines, _page("yard:log-page"),
    )
)  # fmt: skip
register(
    LabelKind(
        "sample", "Samples", Sample, lambda: Sample.objects.select_related("cohort__stack", "slab"),
        Q(retired_at__isnull=True), "name", label_words.sample_lines,
        lambda sample: reverse("yard:weigh-sample", args=[sample.code]),
    )
)  # fmt: skip
register(
    LabelKind(
        "bay", "Bays", Bay, lambda: Bay.objects.all(),
        Q(closed_on__isnull=True), "name", label_words.bay_lines, _page("yard:bay-page"),
    )
)  # fmt: skip
