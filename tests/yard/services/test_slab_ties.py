"""Another app may stand against a slab being split or voided, and the yard need not know why."""

import pytest

from tests.make import make_slab
from yard.services import slab_ties
from yard.services.refused import SlabRefused
from yard.services.slabs import slab_change, slab_void


@pytest.fixture
def tied(yard, monkeypatch):
    """A yard in which one app speaks for every slab called T-1."""
    monkeypatch.setattr(slab_ties, "_TIES", [])
    for _ in range(2):
        slab_ties.register(_speaks_for_one)
    return make_slab("T-1")


def _speaks_for_one(slab):
    return "T-1 is spoken for." if slab.tag == "T-1" else ""


def test_tied_slab_is_not_voided_and_says_why(tied):
    with pytest.raises(SlabRefused, match=r"T-1 is spoken for\."):
        slab_void(by=None, slab=tied, reason="a slip")


def test_everything_else_of_a_tied_slab_may_change(tied):
    assert slab_change(by=None, slab=tied, version=tied.version, note="checked").note == "checked"


def test_untied_slab_is_voided_and_an_app_registers_once(tied):
    assert slab_void(by=None, slab=make_slab("T-2"), reason="a slip").state == "void"
    assert [_speaks_for_one] == slab_ties._TIES
