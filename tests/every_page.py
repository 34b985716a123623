"""Every page that an owner may open, with rows that exist: for the benchmark and for looking at all of them."""

from collections.abc import Iterator

from django.urls import NoReverseMatch, get_resolver, reverse

from kilns.models import Kiln, KilnSurface, Run, Schedule, Treatment
from sales.models import Document, Order, OrderLine, Payment, PriceRule, Wish
from yard import access
from yard.models import Bay, Cohort, Contact, Log, Person, Sample, Sensor, Slab, Stack

# Answers that carry every row or a picture, and pages of nobody or of an empty yard.
NOT_PAGES = (
    "photo-file", "photo-remove", "health", "look", "invite", "password", "logout", "login", "set-up",
    "labels-pdf", "species-suggest", "log-scale", "saw-check", "phone-worker", "phone-manifest", "phone-session",
    "phone-pack", "api-openapi", "document-pdf", "buyer-quote", "for-sale-slab",
    "for-sale-photo",
)  # fmt: skip
NOT_PAGES_IN = ("export", "feed")


def owner_pages() -> Iterator[tuple[str, str]]:
    """URL name and URL of each page; one whose kind of row does not exist is left out."""
    keys = _keys()
    for namespace in sorted({name.split(":")[0] for name in access.TABLE}):
        for pattern in _patterns(get_resolver(), namespace):
            name = f"{namespace}:{pattern.name}"
            if "owner" not in access.methods(name).get("GET", ()) or _is_no_page(pattern.name):
                continue
            noun = pattern.name.split("-")[0]
            arguments = {key: keys.get(key if key != "pk" else noun) for key in pattern.pattern.converters}
            try:
                yield name, reverse(name, kwargs=arguments)
            except NoReverseMatch:
                continue


def _is_no_page(name: str) -> bool:
    return name.startswith(NOT_PAGES) or any(word in name for word in NOT_PAGES_IN)


def _patterns(resolver, namespace: str):
    for entry in resolver.url_patterns:
        if getattr(entry, "namespace", None) == namespace:
            yield from entry.url_patterns
        elif getattr(entry, "namespace", None) is None and hasattr(entry, "url_patterns"):
            yield from _patterns(entry, namespace)


def _keys() -> dict[str, object]:
    """One row of each kind, the oldest that shows the most; the first word of a URL name to its key."""
    standing = Stack.objects.filter(taken_down_at__isnull=True).order_by("pk").first()
    cohort = Cohort.objects.filter(stack=standing).order_by("pk").first()
    first = {
        "log": Log.objects.filter(state="sawn").order_by("pk").first(),
        "saw": Log.objects.filter(state__in=["on_mill", "in_yard"]).order_by("-state", "pk").first(),
        "slab": Slab.objects.filter(stack=standing).order_by("pk").first(),
        "stack": standing,
        "bay": standing.bay if standing else Bay.objects.order_by("pk").first(),
        "contact": Contact.objects.order_by("pk").first(),
        "sensor": Sensor.objects.order_by("pk").first(),
        "cohort": cohort,
        "person": Person.objects.order_by("pk").first(),
        "kiln": Kiln.objects.order_by("pk").first(),
        "surface": KilnSurface.objects.order_by("pk").first(),
        "charge": Kiln.objects.order_by("pk").first(),
        "run": Run.objects.running().first() or Run.objects.order_by("pk").first(),
        "treatment": Treatment.objects.order_by("pk").first(),
        "schedule": Schedule.objects.order_by("pk").first(),
        "price": PriceRule.objects.order_by("pk").first(),
        "order": Order.objects.filter(lines__kind="slab").order_by("-state", "pk").first(),  # "ready" before "ordered"
        "line": OrderLine.objects.filter(kind="slab").order_by("pk").first(),
        "wish": Wish.objects.order_by("pk").first(),
        "payment": Payment.objects.order_by("pk").first(),
        "document": Document.objects.order_by("pk").first(),
        "sample": Sample.objects.filter(cohort=cohort).order_by("pk").first(),
    }
    keys = {noun: row.pk for noun, row in first.items() if row is not None}
    on_the_mill = Slab.objects.filter(log=first["saw"]).exclude(state="void").order_by("pk").first()
    code = standing.code if standing else ""
    return keys | {
        "code": code,
        "text": code,
        "slab_pk": on_the_mill and on_the_mill.pk,
        "cohort_pk": keys.get("cohort"),
        "buyer_pk": keys.get("contact"),
    }
