"""Contacts: added, changed by one at a time, hidden and never lost."""

import pytest

from tests.make import make_log, make_slab
from yard.models import Contact, History
from yard.services.contacts import (
    ChangedMeanwhile,
    contact_add,
    contact_change,
    contact_hide,
    contact_show,
    contact_wood,
    contacts_found,
)


@pytest.fixture
def ada(yard, owner):
    return contact_add(by=owner, name="  Ada   Example ", is_owner=True, phone="555 0100")


def test_a_contact_is_added_with_its_name_tidied_and_a_line_of_history(ada, owner):
    assert ada.name == "Ada Example"
    assert History.objects.get(table="contact", row_id=ada.pk).by == owner


def test_a_change_keeps_before_and_after(ada, owner):
    changed = contact_change(by=owner, contact=ada, version=1, phone="555 0101", is_buyer=True)
    assert changed.version == 2
    assert History.objects.get(action="changed").changes == {
        "phone": ["555 0100", "555 0101"],
        "is_buyer": [False, True],
    }


def test_saving_what_is_already_there_changes_nothing(ada, owner):
    assert contact_change(by=owner, contact=ada, version=1, phone="555 0100").version == 1
    assert not History.objects.filter(action="changed").exists()


def test_a_second_editor_with_the_old_version_is_refused(ada, owner):
    contact_change(by=owner, contact=ada, version=1, phone="555 0101")
    with pytest.raises(ChangedMeanwhile) as refused:
        contact_change(by=owner, contact=ada, version=1, phone="555 0102")
    assert refused.value.current.phone == "555 0101"
    assert Contact.objects.get().phone == "555 0101"


def test_a_hidden_contact_leaves_the_list_and_can_come_back(ada, owner):
    contact_hide(by=owner, contact=ada)
    assert list(contacts_found()) == []
    assert list(contacts_found(hidden=True)) == [ada]
    contact_show(by=owner, contact=ada)
    assert list(contacts_found()) == [ada]


def test_contacts_are_found_by_role_and_by_words(ada, owner):
    ben = contact_add(by=owner, name="Ben Example", is_buyer=True, email="ben@example.org")
    assert list(contacts_found(role="owner")) == [ada]
    assert list(contacts_found(words="example ben")) == [ben]
    assert list(contacts_found(words="0100")) == [ada]
    assert list(contacts_found(role="pk")) == [ada, ben]


def test_their_wood_is_counted_each_piece_once(ada):
    log = make_log(owner=ada, supplier=ada)
    make_slab(owner=ada)
    make_slab(owner=ada, log=log)
    make_slab(owner=ada, log=log)
    assert contact_wood(ada) == {"logs_owned": 1, "logs_supplied": 1, "slabs": 3}
