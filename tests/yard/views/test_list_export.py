"""Lists that go out without filters of their own."""

import csv
from io import StringIO

import pytest
from django.utils import timezone

from tests.make import make_bay, make_log, make_person, make_stack
from yard.models import Sample, Weighing
from yard.services.export_lists import LISTS
from yard.services.history import history_add


def rows(client, name, **asked):
    answer = client.get(f"/export/{name}/", asked)
    assert answer.status_code == 200
    return list(csv.DictReader(StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))


@pytest.mark.parametrize("name", LISTS)
def test_every_list_goes_out_though_it_is_empty(viewer_client, yard, name):
    assert isinstance(rows(viewer_client, name), list)


def test_a_weighing_goes_out_as_typed_and_as_kept_also_when_voided(viewer_client, hand, yard):
    cohort = make_stack("ST-1").cohorts.get()
    sample = Sample.objects.create(name="ST-1 a", cohort=cohort)
    Weighing.objects.create(
        sample=sample, weight_lb=4.46, typed_value="4.46", typed_unit="lb", by=hand, voided_at=timezone.now(),
        void_reason="=wrong board",
    )  # fmt: skip
    (row,) = rows(viewer_client, "weighings")
    assert (row["Stack"], row["Sample"], row["Weight (lb)"], row["By"]) == ("ST-1", "ST-1 a", "4.46", hand.username)
    assert row["Voided because"] == "'=wrong board"


def test_bays_go_out_with_words_for_their_kind(viewer_client, yard):
    make_bay("Shed", kind="dry_store")
    assert [(row["Bay"], row["Kind"]) for row in rows(viewer_client, "bays")] == [("Shed", "Dry store")]


def test_only_owners_take_out_what_was_changed_of_accounts(owner_client, viewer_client, yard):
    history_add(make_person("hand", "hilda"), by=None, action="added")
    make_log()
    assert {row["Table"] for row in rows(owner_client, "history")} == {"person", "log"}
    assert {row["Table"] for row in rows(viewer_client, "history")} == {"log"}


def test_a_list_that_is_not_there_and_strangers(owner_client, client, yard):
    assert owner_client.get("/export/secrets/").status_code == 404
    assert client.get("/export/history/").status_code == 302
