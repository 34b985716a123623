"""The label page, its PDF, and the ways from a code to a thing."""

import pypdfium2
import pytest

from tests.make import make_log, make_slab, make_stack


@pytest.fixture
def slab(yard):
    return make_slab()


def test_labels_page_names_what_a_list_sent(hand_client, slab):
    page = hand_client.get("/labels/", {"noun": "slab", "ids": f"{slab.pk}"})
    assert page.status_code == 200
    assert f"<strong>1 slabs</strong>: {slab.tag}" in page.content.decode()


def test_labels_page_without_anything_asks_what_for(hand_client, yard):
    text = hand_client.get("/labels/").content.decode()
    assert "Tags or codes" in text
    assert "4 × 2 in" in text


def test_pdf_has_a_page_for_each_sheet(hand_client, yard):
    log = make_log()
    for _ in range(12):
        make_slab(log=log)
    answer = hand_client.get("/labels/print/", {"log": log.pk, "size": "letter-10"})
    assert answer["Content-Type"] == "application/pdf"
    assert len(pypdfium2.PdfDocument(answer.content)) == 2


def test_size_is_remembered(hand_client, slab):
    hand_client.get("/labels/print/", {"noun": "slab", "typed": slab.tag, "size": "single-3x2"})
    assert 'value="single-3x2" selected' in hand_client.get("/labels/").content.decode()


def test_samples_and_slabs_of_a_stack(hand_client, yard):
    stack = make_stack(slabs=3)
    assert "3 slabs" in hand_client.get("/labels/", {"stack": stack.pk}).content.decode()


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"noun": "slab", "typed": "NOPE-1", "size": "a4-8"}, "NOPE-1"),
        ({"noun": "slab", "typed": "", "size": "a4-8"}, "no slab to print"),
        ({"noun": "slab", "typed": "x", "size": "tiny"}, "Select a valid choice"),
        ({"noun": "slab", "typed": "x", "size": "a4-8", "copies": "500"}, "less than or equal to 20"),
    ],
)
def test_what_cannot_be_printed_is_answered_with_what_to_do(hand_client, yard, asked, words):
    answer = hand_client.get("/labels/print/", asked)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_labels_warn_when_they_would_lead_to_this_machine_only(hand_client, yard):
    assert "which a phone cannot reach" in hand_client.get("/labels/", headers={"host": "localhost"}).content.decode()
    assert "which a phone cannot reach" not in hand_client.get("/labels/").content.decode()


def test_labels_lead_to_the_address_that_is_set(hand_client, slab, settings):
    settings.PUBLIC_URL = "https://yard.example:8443"
    page = hand_client.get("/labels/", {"noun": "slab", "ids": f"{slab.pk}"})
    assert f"HTTPS://YARD.EXAMPLE:8443/C/{slab.code}" in page.content.decode()


@pytest.mark.parametrize("path", ["/c/{}/", "/C/{}"])
def test_scanned_code_opens_the_page_of_its_thing(viewer_client, slab, path):
    answer = viewer_client.get(path.format(slab.code))
    assert answer.status_code == 302
    assert answer["Location"] == f"/slabs/{slab.pk}/"


def test_stranger_who_scans_logs_in_and_goes_on(client, slab):
    answer = client.get(f"/C/{slab.code}")
    assert answer["Location"] == f"/login/?next=/C/{slab.code}"


def test_unknown_code_offers_the_box_again(viewer_client, yard):
    answer = viewer_client.get("/c/ZZZZZZ/")
    assert answer.status_code == 404
    assert "Nothing here has the code or tag ZZZZZZ" in answer.content.decode()


def test_typed_code_opens_at_once_and_a_beginning_lists(viewer_client, yard):
    first, second = make_slab(tag="Q-14-1"), make_slab(tag="Q-14-2")
    assert viewer_client.get("/c/", {"q": first.code.lower()})["Location"] == f"/slabs/{first.pk}/"
    text = viewer_client.get("/c/", {"q": "q-14"}).content.decode()
    assert f"/slabs/{first.pk}/" in text
    assert f"/slabs/{second.pk}/" in text


def test_scanned_slab_that_is_a_sample_opens_on_the_scale_for_who_weighs(hand_client, viewer_client, yard):
    from yard.services.samples import sample_of_slab

    slab = make_stack(slabs=1).slabs_now.get()
    assert hand_client.get(f"/C/{slab.code}")["Location"] == f"/slabs/{slab.pk}/"
    sample_of_slab(slab=slab)
    assert hand_client.get(f"/C/{slab.code}")["Location"] == f"/weigh/{slab.code}/"
    assert viewer_client.get(f"/C/{slab.code}")["Location"] == f"/slabs/{slab.pk}/"


@pytest.mark.parametrize("path", ["/slabs/", "/logs/", "/stacks/", "/bays/"])
def test_labels_are_printed_from_every_list(hand_client, viewer_client, yard, path):
    make_log()
    make_stack(slabs=2)
    assert "/labels/?noun=" in hand_client.get(path).content.decode()
    assert "/labels/?noun=" not in viewer_client.get(path).content.decode()
