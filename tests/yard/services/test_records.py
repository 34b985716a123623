"""Append-only records: once each, voided with a reason, never changed or deleted."""

import uuid

import pytest

from tests.make import make_person, make_stack
from yard.models import History, Weighing
from yard.models.base import AppendOnlyError
from yard.services.records import AlreadyVoidedError, record_void
from yard.services.refused import Refused
from yard.services.samples import sample_of_slab
from yard.services.weighings import weighing_record


@pytest.fixture
def sample(yard):
    return sample_of_slab(slab=make_stack().slabs_now.first())


def test_second_weighing_with_the_same_key_is_ignored(sample):
    key = uuid.uuid4()
    first, new = weighing_record(sample=sample, weight_lb=120.0, by=None, client_key=key)
    again, new_again = weighing_record(sample=sample, weight_lb=999.0, by=None, client_key=key)
    assert (new, new_again) == (True, False)
    assert again == first
    assert Weighing.objects.get().weight_lb == 120.0


def test_a_record_is_never_changed_nor_deleted(sample):
    weighing, _ = weighing_record(sample=sample, weight_lb=120.0, by=None)
    weighing.weight_lb = 12.0
    with pytest.raises(AppendOnlyError):
        weighing.save()
    with pytest.raises(AppendOnlyError):
        weighing.delete()
    assert Weighing.objects.get().weight_lb == 120.0


def test_voiding_keeps_the_record_with_who_and_why_and_the_history_says_so(sample):
    weighing, _ = weighing_record(sample=sample, weight_lb=120.0, by=None)
    ada = make_person("hand", "ada")
    record_void(record=weighing, reason=" wrong  slab ", by=ada)
    kept = Weighing.objects.get()
    assert (kept.voided, kept.voided_by, kept.void_reason) == (True, ada, "wrong slab")
    assert not Weighing.objects.standing().exists()
    assert History.objects.get(table="weighing", action="voided").note == "wrong slab"


def test_voiding_twice_is_refused_and_the_first_reason_stays(sample):
    weighing, _ = weighing_record(sample=sample, weight_lb=120.0, by=None)
    held_by_another = Weighing.objects.get()
    record_void(record=weighing, reason="wrong slab", by=None)
    with pytest.raises(AlreadyVoidedError, match="wrong slab"):
        record_void(record=held_by_another, reason="another reason", by=None)
    assert Weighing.objects.get().void_reason == "wrong slab"


def test_voiding_without_a_reason_is_refused(sample):
    weighing, _ = weighing_record(sample=sample, weight_lb=120.0, by=None)
    with pytest.raises(Refused, match="Say why"):
        record_void(record=weighing, reason="  ", by=None)
    assert not Weighing.objects.get().voided
