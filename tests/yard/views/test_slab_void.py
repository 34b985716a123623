"""Making a slab void."""

from tests.make import make_slab, make_stack
from yard.models import History, Slab


def test_a_reason_makes_it_void_and_frees_its_tag(hand_client, yard):
    slab = make_slab("A")
    assert hand_client.post(f"/slabs/{slab.pk}/void/", {"version": 1, "reason": "typed twice"}).status_code == 302
    again = Slab.objects.get(pk=slab.pk)
    assert (again.state, again.void_reason) == ("void", "typed twice")
    assert make_slab("A").tag == "A"
    assert History.objects.filter(table="slab", row_id=slab.pk, action="voided").exists()
    page = hand_client.get(f"/slabs/{slab.pk}/").content.decode()
    assert "typed twice" in page
    assert f"/slabs/{slab.pk}/edit/" not in page


def test_no_reason_an_old_version_and_a_stack_are_refused(hand_client, yard):
    slab = make_slab("A")
    url = f"/slabs/{slab.pk}/void/"
    assert hand_client.post(url, {"version": 1, "reason": " "}).status_code == 422
    Slab.objects.filter(pk=slab.pk).update(version=3)
    answer = hand_client.post(url, {"version": 1, "reason": "twice"})
    assert answer.status_code == 409
    assert 'value="twice"' in answer.content.decode()
    make_stack(slabs=[Slab.objects.get(pk=slab.pk)])
    version = Slab.objects.get(pk=slab.pk).version
    assert hand_client.post(url, {"version": version, "reason": "twice"}).status_code == 422
    assert Slab.objects.get(pk=slab.pk).state == "stacked"


def test_viewers_make_nothing_void(viewer_client, yard):
    assert viewer_client.post(f"/slabs/{make_slab().pk}/void/", {"version": 1, "reason": "x"}).status_code == 403
