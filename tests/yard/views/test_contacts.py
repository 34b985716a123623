"""The list of contacts, a contact's page, adding and changing."""

import csv
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.make import make_log, make_slab
from yard.models import Contact, History

NEW = {
    "name": "Ada Example",
    "is_owner": "on",
    "phone": "555 0100",
    "email": "ada@example.org",
    "address": "",
    "note": "",
}


def test_an_empty_list_says_what_contacts_are_for(hand_client, yard):
    assert "No contacts yet" in hand_client.get("/contacts/").content.decode()


def test_a_contact_is_added_and_found(hand_client, viewer_client, yard):
    answer = hand_client.post("/contacts/new/", NEW)
    ada = Contact.objects.get()
    assert answer["Location"] == f"/contacts/{ada.pk}/"
    Contact.objects.create(name="Ben Example", is_buyer=True)
    assert "Ada Example" in viewer_client.get("/contacts/", {"role": "owner"}).content.decode()
    page = viewer_client.get("/contacts/", {"q": "ben"}).content.decode()
    assert "Ben Example" in page
    assert "Ada Example" not in page


@pytest.mark.parametrize(
    ("typed", "field"), [({"name": ""}, "name"), ({"is_owner": ""}, "is_buyer"), ({"email": "ada at home"}, "email")]
)
def test_what_is_missing_is_said_and_what_was_typed_kept(hand_client, yard, typed, field):
    answer = hand_client.post("/contacts/new/", {key: value for key, value in (NEW | typed).items() if value})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert 'value="555 0100"' in answer.content.decode()


def test_two_people_editing_one_contact_see_both(hand_client, owner_client, yard):
    ada = Contact.objects.create(name="Ada Example", is_owner=True)
    url = f"/contacts/{ada.pk}/edit/"
    assert owner_client.post(url, NEW | {"version": 1, "phone": "555 0111"}).status_code == 302
    answer = hand_client.post(url, NEW | {"version": 1, "phone": "555 0122"})
    page = " ".join(answer.content.decode().split())
    assert answer.status_code == 409
    assert "<td>555 0111</td><td>555 0122</td>" in page
    assert 'value="555 0122"' in page


def test_the_page_shows_their_wood_with_a_link_to_it(viewer_client, yard):
    ada = Contact.objects.create(name="Ada Example", is_owner=True, is_supplier=True)
    log = make_log(tag="26-7", owner=ada, supplier=ada)
    make_slab(log=log)
    page = viewer_client.get(f"/contacts/{ada.pk}/").content.decode()
    assert f'href="/slabs/?whose={ada.pk}"' in page
    assert page.count(f'href="/logs/{log.pk}/"') == 2


def test_a_contact_is_hidden_and_shown_again(hand_client, yard):
    ada = Contact.objects.create(name="Ada Example", is_owner=True)
    hand_client.post(f"/contacts/{ada.pk}/hide/")
    assert ">Ada Example</a>" not in hand_client.get("/contacts/").content.decode()
    assert ">Ada Example</a>" in hand_client.get("/contacts/", {"hidden": "on"}).content.decode()
    hand_client.post(f"/contacts/{ada.pk}/hide/", {"show": "yes"})
    assert ">Ada Example</a>" in hand_client.get("/contacts/").content.decode()
    assert History.objects.filter(table="contact", row_id=ada.pk).count() == 2


def test_three_contacts_and_three_hundred_take_the_same_queries(hand_client, yard):
    Contact.objects.bulk_create(Contact(name=f"C{n}") for n in range(3))
    with CaptureQueriesContext(connection) as few:
        hand_client.get("/contacts/")
    Contact.objects.bulk_create(Contact(name=f"D{n}") for n in range(300))
    with CaptureQueriesContext(connection) as more:
        hand_client.get("/contacts/")
    assert len(few) == len(more)


def test_the_list_goes_out_as_a_spreadsheet(viewer_client, yard):
    Contact.objects.create(name="=Ada", is_buyer=True)
    text = b"".join(viewer_client.get("/contacts/export/").streaming_content).decode("utf-8-sig")
    assert [(row["Name"], row["Buyer"]) for row in csv.DictReader(StringIO(text))] == [("'=Ada", "yes")]


def test_viewers_change_nothing(viewer_client, client, yard):
    ada = Contact.objects.create(name="Ada Example", is_owner=True)
    assert viewer_client.post("/contacts/new/", NEW).status_code == 403
    assert viewer_client.post(f"/contacts/{ada.pk}/edit/", NEW | {"version": 1}).status_code == 403
    assert viewer_client.post(f"/contacts/{ada.pk}/hide/").status_code == 403
    assert client.get("/contacts/").status_code == 302
