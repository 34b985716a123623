"""Sections that other apps add to the yard's pages."""

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.make import make_bay, make_log, make_sensor, make_slab, make_stack
from yard import parts
from yard.models import Contact, Weighing
from yard.services.samples import sample_add


@pytest.fixture
def told(monkeypatch):
    """What registered sections were asked about; each page has one that shows a history entry's words."""
    asked = []
    monkeypatch.setattr(parts, "_PARTS", {page: [] for page in parts.PAGES})

    def context(request, subject):
        asked.append(subject)
        return {"messages": [f"a part for {subject}"]}

    for page in parts.PAGES:
        parts.register(page, "yard/_messages.html", context)
    return asked


@pytest.mark.parametrize("page", [page for page in parts.PAGES if page not in ("today", "weighed")])
def test_each_page_shows_what_is_registered_for_its_own_row(page, owner_client, told):
    made = {
        "slab": make_slab, "stack": make_stack, "log": make_log, "bay": make_bay, "sensor": make_sensor,
        "contact": lambda: Contact.objects.create(name="Birch Lane Joinery"),
    }  # fmt: skip
    row = made[page]()
    answer = owner_client.get(reverse(f"yard:{page}-page", args=[row.pk]))
    assert told == [row]
    assert f"a part for {row}" in answer.content.decode()


def test_a_weighing_that_was_kept_shows_what_is_registered_for_its_sample(owner_client, told):
    cohort = make_stack("ST-1", slabs=1).cohorts.get()
    sample = sample_add(cohort=cohort, name="a")
    weighing = Weighing.objects.create(sample=sample, weight_lb=4.5, typed_unit="lb", made_at=timezone.now())
    answer = owner_client.get(reverse("yard:weigh-kept", args=["weighing", weighing.pk]))
    assert told == [sample]
    assert f"a part for {sample}" in answer.content.decode()


def test_today_asks_for_parts_without_a_row(owner_client, told):
    assert "a part for None" in owner_client.get(reverse("yard:today")).content.decode()
    assert told == [None]


def test_a_part_without_anything_to_show_leaves_no_trace(rf, monkeypatch):
    monkeypatch.setattr(parts, "_PARTS", {page: [] for page in parts.PAGES})
    parts.register("slab", "yard/_messages.html", lambda request, subject: None)
    assert parts.parts_of("slab", rf.get("/"), None) == []


def test_a_page_that_asks_for_nothing_is_told_at_once():
    with pytest.raises(KeyError):
        parts.register("moon", "yard/_messages.html", lambda request, subject: None)
