"""Bringing in a spreadsheet through its pages: file, columns, rows, all or nothing."""

import csv
from io import StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.make import make_log, make_slab
from yard.models import Contact, ImportFile, Log, Slab

LOGS = """Tag;Species;Top dia (cm);Length (m);Arrived;Owner
A1;red oak;30,5;4,2;14.03.2025;Ada
A2;black walnut;42;2,4;15.03.2025;
"""


def upload(client, text, kind="logs", name="list.csv"):
    data = text if isinstance(text, bytes) else text.encode()
    return client.post("/import/", {"kind": kind, "file": SimpleUploadedFile(name, data, "text/csv")})


def columns_as_guessed(client, file, **changes):
    """The columns form as the browser would send it back untouched, with changes."""
    form = client.get(f"/import/{file.pk}/").context["form"]
    data = {bound.html_name: bound.value() or "" for bound in form}
    return {name: value for name, value in (data | changes).items() if value not in (False, None)}


def test_a_list_is_brought_in_step_by_step(hand_client, hand, yard):
    answer = upload(hand_client, LOGS)
    file = ImportFile.objects.get()
    assert answer["Location"] == f"/import/{file.pk}/"
    answer = hand_client.post(answer["Location"], columns_as_guessed(hand_client, file, add_contacts="on"))
    assert answer["Location"] == f"/import/{file.pk}/rows/"
    page = hand_client.get(answer["Location"])
    assert "Which wood is it?" in page.content.decode()
    hand_client.post(answer["Location"], {"species": "yes", "wood_0": "northern red oak"})
    page = hand_client.get(answer["Location"]).content.decode()
    assert "All 2 rows can be read" in page
    assert "New contacts: Ada" in page
    assert not Log.objects.exists()
    answer = hand_client.post(f"/import/{file.pk}/rows/")
    assert answer["Location"] == "/logs/"
    assert list(Log.objects.order_by("tag").values_list("tag", "species_key")) == [
        ("A1", "oak-northern-red"),
        ("A2", "walnut-black"),
    ]
    assert Contact.objects.get().name == "Ada"
    # sent again, nothing is doubled
    hand_client.post(f"/import/{file.pk}/rows/")
    assert Log.objects.count() == 2


def test_a_broken_row_shows_its_number_and_column_and_nothing_is_saved(hand_client, yard):
    upload(hand_client, LOGS.replace("red oak", "white oak").replace("30,5", "dreißig").replace(";Ada", ";"))
    file = ImportFile.objects.get()
    hand_client.post(f"/import/{file.pk}/", columns_as_guessed(hand_client, file))
    page = " ".join(hand_client.get(f"/import/{file.pk}/rows/").content.decode().split())
    assert '<th scope="row">Row 2</th><td data-label="Column">Top dia (cm)</td>' in page
    assert "dreißig" in page
    assert "Import 2" not in page
    answer = hand_client.post(f"/import/{file.pk}/rows/")
    assert answer.status_code == 422
    assert not Log.objects.exists()


def test_a_needed_column_and_a_doubled_one_are_asked_for(hand_client, yard):
    upload(hand_client, LOGS)
    file = ImportFile.objects.get()
    answer = hand_client.post(
        f"/import/{file.pk}/", columns_as_guessed(hand_client, file, target_2="length_ft", unit_2="cm")
    )
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Say which column is: Small end diameter." in page
    assert "is this already" in page
    answer = hand_client.post(f"/import/{file.pk}/", columns_as_guessed(hand_client, file, unit_2=""))
    assert "In which unit?" in answer.content.decode()


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"PK\x03\x04", "workbook"), (b"tag\n", "no rows"), (b'tag\n"open\n', "quotation mark")],
)
def test_a_file_that_cannot_be_read_says_what_to_do(hand_client, yard, data, words):
    answer = upload(hand_client, data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not ImportFile.objects.exists()


def test_no_file_is_asked_for(hand_client, yard):
    answer = hand_client.post("/import/", {"kind": "logs"})
    assert answer.status_code == 422
    assert "Choose a file" in answer.content.decode()


def test_a_file_is_put_aside(hand_client, yard):
    upload(hand_client, LOGS)
    file = ImportFile.objects.get()
    assert hand_client.post(f"/import/{file.pk}/drop/")["Location"] == "/import/"
    assert hand_client.get(f"/import/{file.pk}/").status_code == 302
    assert "list.csv" not in hand_client.get("/import/").content.decode()


@pytest.mark.parametrize("dialect", ["comma", "semicolon", "plain"])
def test_what_one_yard_takes_out_another_brings_in(hand_client, yard, dialect):
    log = make_log(tag="26-7", small_end_in=20, large_end_in=22.5, length_ft=10.25)
    make_slab("A", log=log, thickness_in=2.0625, widths_in=[18.0, 16.5, 17.25], note="=not a formula", figure="curl")
    out = {
        kind: b"".join(hand_client.get(f"/{kind}/export/?state=all&dialect={dialect}").streaming_content)
        for kind in ("logs", "slabs")
    }
    Slab.objects.all().delete()
    Log.objects.all().delete()
    for kind in ("logs", "slabs"):
        upload(hand_client, out[kind], kind)
        file = ImportFile.objects.order_by("-id").first()
        answer = hand_client.post(f"/import/{file.pk}/", columns_as_guessed(hand_client, file))
        assert answer.status_code == 302, answer.context["form"].errors
        answer = hand_client.post(f"/import/{file.pk}/rows/")
        assert answer.status_code == 302, answer.context["problems"]
    slab = Slab.objects.get()
    assert (slab.tag, slab.log.tag, slab.thickness_in, slab.widths_in, slab.figure) == (
        "A", "26-7", 2.0625, [18.0, 16.5, 17.25], "curl",
    )  # fmt: skip
    assert slab.note == "=not a formula"
    assert (slab.log.small_end_in, slab.log.large_end_in, slab.log.length_ft) == (20, 22.5, 10.25)


def test_an_export_holds_a_row_a_log(hand_client, yard):
    make_log(tag="26-7")
    text = b"".join(hand_client.get("/logs/export/").streaming_content).decode("utf-8-sig")
    assert [row["Tag"] for row in csv.DictReader(StringIO(text))] == ["26-7"]


def test_viewers_and_strangers_bring_in_nothing(viewer_client, client, yard):
    assert upload(viewer_client, LOGS).status_code == 403
    assert upload(client, LOGS).status_code == 302
    assert not ImportFile.objects.exists()
