"""Links and roles hold under a race, with real threads on both databases."""

import io
import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.management import call_command
from django.db import OperationalError, connection

from tests.make import make_invite, make_person
from yard.models import Invite, Person
from yard.services.people import InviteSpent, LastOwner, invite_accept, invite_find, person_close, role_change


def at_once(*actions):
    """Run the actions in threads of their own; what each returned or raised."""

    def run(action):
        try:
            return action()
        except (InviteSpent, LastOwner, OperationalError) as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(actions)) as pool:
        return list(pool.map(run, actions))


@pytest.mark.django_db(transaction=True)
def test_two_who_open_one_link_at_once_get_one_account():
    make_invite(token="abc")
    names = ["ada", "bert", "cleo", "dora"]
    results = at_once(
        *(lambda name=name: invite_accept(token="abc", username=name, password="long enough 1") for name in names)
    )
    joined = [one for one in results if isinstance(one, Person)]
    assert len(joined) == 1
    assert Person.objects.count() == 1
    assert Invite.objects.get().used_by == joined[0]


@pytest.mark.django_db(transaction=True)
def test_two_owners_who_demote_each_other_at_once_leave_an_owner():
    one, other = make_person("owner"), make_person("owner")
    results = at_once(
        lambda: role_change(person=one, role="hand", by=other), lambda: person_close(person=other, by=one)
    )
    assert Person.objects.filter(role="owner", is_active=True).count() == 1, results


def test_first_owner_gets_in_by_the_link_that_the_command_prints(db):
    printed = io.StringIO()
    call_command("invite", "--address", "https://yard.example", stdout=printed)
    token = re.search(r"https://yard\.example/invite/([\w-]+)/", printed.getvalue())[1]
    assert invite_find(token).role == "owner"


def test_link_for_a_hand_is_printed_too(db):
    call_command("invite", "--role", "hand", stdout=io.StringIO())
    assert Invite.objects.get().role == "hand"
