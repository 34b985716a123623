"""Voiding records and naming samples through the screens."""

from datetime import timedelta

import pytest
from django.utils import timezone

from tests.make import make_slab, make_stack
from yard.models import Estimate, Sample, Weighing
from yard.services.moisture_records import meter_reading_record, oven_section_record
from yard.services.samples import sample_of_slab
from yard.services.weighings import stack_weighing_record, weighing_record


def text(answer):
    return answer.content.decode()


@pytest.fixture
def stack(yard):
    day = timezone.localdate() - timedelta(days=40)
    return make_stack(tag="ST-9", slabs=[make_slab(tag="W-1", sawn_on=day)], at=timezone.now() - timedelta(days=39))


def records(stack):
    cohort, sample = stack.cohorts.get(), sample_of_slab(slab=stack.slabs_now.get())
    return {
        "weighing": weighing_record(sample=sample, weight_lb=110.0, by=None)[0],
        "section": oven_section_record(cohort=cohort, wet_lb=1.6, oven_dry_lb=1.0, by=None)[0],
        "reading": meter_reading_record(cohort=cohort, reading_pct=20.0, depth_in=0.5, by=None)[0],
        "stack-weighing": stack_weighing_record(stack=stack, weight_lb=130.0, by=None)[0],
    }


def test_each_kind_of_record_is_voided_with_a_reason_and_the_estimate_made_anew(hand_client, stack):
    for kind, record in records(stack).items():
        path = f"/records/{kind}/{record.pk}/void/"
        assert "Void it" in text(hand_client.get(path))
        answer = hand_client.post(path, {"reason": "the wrong slab"})
        assert answer.headers["Location"] == f"/stacks/{stack.pk}/"
        record.refresh_from_db()
        assert record.void_reason == "the wrong slab"
        assert Estimate.objects.get(is_current=True).because.startswith(f"{kind} voided by")


def test_without_a_reason_or_a_second_time_it_is_refused(hand_client, stack):
    record = records(stack)["weighing"]
    path = f"/records/weighing/{record.pk}/void/"
    assert hand_client.post(path, {"reason": "  "}).status_code == 422
    assert not Weighing.objects.get(pk=record.pk).voided
    hand_client.post(path, {"reason": "misread"})
    answer = hand_client.post(path, {"reason": "again"})
    assert answer.status_code == 422
    assert "misread" in text(answer)
    assert Weighing.objects.get(pk=record.pk).void_reason == "misread"


def test_unknown_kinds_and_records_are_not_found(hand_client, yard):
    assert hand_client.get("/records/guess/1/void/").status_code == 404
    assert hand_client.get("/records/weighing/999/void/").status_code == 404
    assert hand_client.get("/weigh/kept/guess/1/").status_code == 404


def test_viewers_void_nothing(viewer_client, stack):
    record = records(stack)["weighing"]
    assert viewer_client.post(f"/records/weighing/{record.pk}/void/", {"reason": "x"}).status_code == 403
    assert not Weighing.objects.get(pk=record.pk).voided


def test_a_cut_board_is_named_and_weighed_next_and_can_be_retired(hand_client, stack):
    cohort = stack.cohorts.get()
    path = f"/cohorts/{cohort.pk}/samples/new/"
    assert hand_client.post(path, {"name": ""}).status_code == 422
    answer = hand_client.post(path, {"name": "East board", "place_note": "course 4"})
    sample = Sample.objects.get(name="East board")
    assert answer.headers["Location"] == f"/weigh/{sample.code}/"
    twice = hand_client.post(path, {"name": "east board"})
    assert "has a sample east board already" in text(twice)
    hand_client.post(f"/samples/{sample.pk}/retire/")
    sample.refresh_from_db()
    assert sample.retired_at is not None
