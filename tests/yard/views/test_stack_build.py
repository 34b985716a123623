"""Building a stack: by codes, tags, picking, a whole log; what it comes to; what is refused."""

import pytest
from django.urls import reverse

from tests.make import make_bay, make_log, make_slab, make_stack
from yard.models import Membership, Slab, Stack
from yard.services.labels import label_url

SHAPE = {
    "sticker_in": "3/4", "sticker_width_in": "1 1/4", "sticker_spacing_in": "16", "width_ft": "4", "length_ft": "8",
    "top_weight_lb": "", "target_mc_pct": "", "note": "", "courses": "fill", "at": "",
}  # fmt: skip
URL = "/stacks/build/"


@pytest.fixture
def bay(yard):
    return make_bay("North row")


def typed(bay, slabs, **more):
    return SHAPE | {"tag": "ST-1", "bay": bay.pk, "slabs": slabs} | more


def course_of(slab):
    return Membership.objects.get(slab=slab, until__isnull=True).course


def test_slabs_scanned_by_code_and_typed_by_tag_lie_in_the_order_given(hand_client, bay):
    slabs = [make_slab(f"A-{n}", widths_in=[30.0]) for n in range(4)]
    scanned = label_url("https://yard.example/", slabs[0].code)
    text = f"{slabs[2].code}\n{scanned}\na-3, {slabs[1].code.lower()}"
    response = hand_client.post(URL, typed(bay, text))
    stack = Stack.objects.get()
    assert response.url == reverse("yard:stack-page", args=[stack.pk])
    assert [course_of(slabs[n]) for n in (2, 0, 3, 1)] == [1, 2, 3, 4]
    assert (stack.bay, stack.sticker_in, stack.sticker_width_in) == (bay, 0.75, 1.25)


def test_each_line_can_be_a_course(hand_client, bay):
    slabs = [make_slab(f"A-{n}") for n in range(3)]
    hand_client.post(URL, typed(bay, "A-0 A-1\n\nA-2", courses="lines"))
    assert [course_of(slab) for slab in slabs] == [1, 1, 2]


def test_a_tag_with_a_space_in_it_is_one_slab(hand_client, bay):
    slab = make_slab("walnut by the gate")
    hand_client.post(URL, typed(bay, "Walnut by the gate"))
    assert Slab.objects.get(pk=slab.pk).stack is not None


def test_the_tag_of_a_log_stands_for_its_loose_slabs_in_sawing_order(hand_client, bay):
    log = make_log("26-07", arrived_on="2025-01-02")
    slabs = [make_slab(f"26-07-{n}", log=log, widths_in=[12.0] * 3) for n in (1, 2, 3)]
    make_stack(slabs=[slabs[1]])
    hand_client.post(URL, typed(bay, "26-07"))
    stack = Stack.objects.get(tag="ST-1")
    assert set(Slab.objects.filter(stack=stack)) == {slabs[0], slabs[2]}


@pytest.mark.parametrize("asked", ["slabs={0},{1}", "slab={0}&slab={1}", "log={log}"])
def test_other_pages_bring_their_slabs_along(hand_client, bay, asked):
    log = make_log("26-07", arrived_on="2025-01-02")
    slabs = [make_slab(f"26-07-{n}", log=log, widths_in=[12.0] * 3) for n in (1, 2)]
    page = hand_client.get(f"{URL}?{asked.format(*(slab.pk for slab in slabs), log=log.pk)}").content.decode()
    assert "26-07-1\n26-07-2</textarea>" in page
    assert "What it comes to" in page


def test_picked_slabs_are_added_to_what_was_typed_and_nothing_is_built(hand_client, bay):
    first, second = make_slab("A-1"), make_slab("A-2")
    response = hand_client.post(URL, typed(bay, first.tag, tag="", picked=[second.pk], pick="yes"))
    page = response.content.decode()
    assert response.status_code == 200
    assert "A-1\nA-2</textarea>" in page
    assert "Not yet:" not in page
    assert not Stack.objects.exists()


def test_the_list_to_pick_from_is_found_by_wood_and_thickness(hand_client, bay):
    make_slab("O-8", species_key="oak-white")
    make_slab("O-4", species_key="oak-white", quarters=4, thickness_in=1.125)
    make_slab("W-8", species_key="walnut-black")
    stacked = make_slab("O-S", species_key="oak-white")
    make_stack(slabs=[stacked])
    page = hand_client.post(URL, typed(bay, "", find="yes", words="oak 8/4")).content.decode()
    assert "<strong>O-8</strong>" in page
    assert not [tag for tag in ("O-4", "W-8", "O-S") if f"<strong>{tag}</strong>" in page]


def test_the_figures_count_up_while_it_is_typed(hand_client, bay):
    for n in range(4):
        make_slab(f"A-{n}", widths_in=[12.0], length_in=96.0, thickness_in=1.125, quarters=4)
    response = hand_client.post(
        URL, typed(bay, "A-0 A-1 A-2 A-3 nonsense", width_ft="2", only_figures="yes"), headers={"HX-Request": "true"}
    )
    page = response.content.decode()
    assert page.strip().startswith('<section class="build-side card" id="figures"')
    assert "32.0 bf" in page  # 4 boards of 12 in x 8 ft, 4/4: 8 bf each
    # two courses of 1-1/8 in with a 3/4 in sticker: 3 in; one gap of 3/4 in over 96 in less 7 stickers of 1-1/4 in
    assert "3&quot;" in page
    assert f"{0.75 * (96 - 7 * 1.25) / 144:.1f} ft²" in page
    assert "Not known: nonsense" in page


def test_cautions_name_uneven_courses_wide_spacing_and_height_with_their_sources(hand_client, bay):
    make_slab("A-1", thickness_in=1.0, quarters=4, widths_in=[10.0])
    make_slab("A-2", thickness_in=2.0, quarters=8, widths_in=[10.0])
    page = hand_client.post(URL, typed(bay, "A-1 A-2", sticker_spacing_in="32", only_figures="yes")).content.decode()
    assert "different thickness (1 in and 2 in)" in page
    assert "Stickers 32 in apart" in page
    assert "common practice, no source" in page
    tall = [make_slab(f"T-{n}", widths_in=[11.0], thickness_in=4.0).tag for n in range(10)]
    page = hand_client.post(URL, typed(bay, " ".join(tall), width_ft="1", only_figures="yes")).content.decode()
    assert "high on a base" in page
    assert "three times as high" in page


def test_restacking_takes_slabs_out_of_the_stack_they_are_in(hand_client, bay):
    old = make_stack("ST-0", slabs=[make_slab("A-1"), make_slab("A-2")])
    first = hand_client.get(f"{URL}?stack={old.pk}&restack=on").content.decode()
    assert "A-1\nA-2</textarea>" in first
    hand_client.post(URL, typed(bay, "A-1 A-2", restack="on"))
    old.refresh_from_db()
    assert old.taken_down_at is not None
    assert Slab.objects.filter(stack__tag="ST-1").count() == 2


def test_a_slab_that_is_in_another_stack_is_refused_beside_the_field_and_what_was_typed_is_kept(hand_client, bay):
    make_stack("ST-0", slabs=[make_slab("A-1")], bay=make_bay("Shed 2"))
    response = hand_client.post(URL, typed(bay, "A-1", note="by the gate"))
    page = response.content.decode()
    assert response.status_code == 422
    assert "A-1 is in ST-0 (Shed 2) since" in page
    assert "by the gate" in page
    assert not Stack.objects.filter(tag="ST-1").exists()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"slabs": ""}, "Scan, type or pick at least one slab"),
        ({"slabs": "A-9"}, "No slab or log is called: A-9"),
        ({"tag": ""}, "required"),
        ({"bay": ""}, "required"),
        ({"sticker_in": "5 kg"}, "Not yet:"),
        ({"sticker_spacing_in": "61"}, "too large"),
        ({"length_ft": "-8"}, "Not yet:"),
        ({"at": "2999-01-01T10:00"}, "has not come yet"),
        ({"at": "1999-01-01T10:00"}, "Sawn after 1 Jan 1999"),
        ({"target_mc_pct": "70"}, "4 to 35%"),
    ],
)
def test_bad_input_is_told_beside_its_field_and_nothing_is_saved(hand_client, bay, wrong, words):
    make_slab("A-1")
    response = hand_client.post(URL, typed(bay, "A-1") | wrong)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not Stack.objects.exists()


def test_a_tag_taken_is_refused(hand_client, bay):
    make_stack("ST-1")
    make_slab("A-1")
    response = hand_client.post(URL, typed(bay, "A-1", tag="st-1"))
    assert "Another stack has the tag ST-1" in response.content.decode()


def test_a_bay_that_is_full_warns_after_the_stack_is_built(hand_client, yard):
    bay = make_bay("Small bay", places=1)
    make_stack(bay=bay)
    make_slab("A-1")
    page = hand_client.post(URL, typed(bay, "A-1"), follow=True).content.decode()
    assert "Small bay is meant for 1 stack, and 2 stand there now." in page


def test_strangers_and_viewers_cannot_build(client, viewer_client, bay):
    make_slab("A-1")
    assert "/login/" in client.post(URL, typed(bay, "A-1")).url
    assert viewer_client.post(URL, typed(bay, "A-1")).status_code == 403
    assert not Stack.objects.exists()
