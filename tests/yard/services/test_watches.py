"""What is looked at every few minutes: each once, and one that fails holds up no other."""

import pytest

from yard.services import watches
from yard.serving import daily


@pytest.fixture
def none_registered(monkeypatch):
    monkeypatch.setattr(watches, "_WATCHES", [])


def test_a_watch_registered_twice_is_done_once(none_registered):
    def one():
        return "Looked."

    watches.register(one)
    watches.register(one)
    assert watches.watches_do() == ["Looked."]


def test_one_that_fails_is_logged_and_the_others_are_done(none_registered, caplog):
    def breaks():
        raise RuntimeError("no disk")

    watches.register(breaks)
    watches.register(lambda: "")
    watches.register(lambda: "Looked.")
    assert watches.watches_do() == ["Looked."]
    assert "no disk" in caplog.text


@pytest.mark.django_db(transaction=True)
def test_the_server_does_them_and_goes_on_when_one_fails(none_registered):
    seen = []
    watches.register(lambda: seen.append(1) or "Looked.")
    daily.watch_done()
    daily.watch_done()
    assert seen == [1, 1]
