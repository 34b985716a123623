"""Stacks as a person builds, moves and finds them, with a phone in hand, with and without scripts."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import BUILT_AT, make_bay, make_estimate, make_log, make_slab, make_stack
from yard.models import Membership, Slab, Stack
from yard.services.placement_check import placement_faults
from yard.services.stacks import stack_take_down, stack_take_out

DAY = timedelta(days=1)


def test_a_stack_is_built_from_scanned_codes_on_a_phone(phone_page):
    slabs = [make_slab(f"A-{n}", widths_in=[30.0]) for n in range(3)]
    make_bay("North row")
    page = phone_page
    page.goto("/stacks/build/")
    field = page.get_by_label("Slabs from the bottom up")
    for slab in (slabs[2], slabs[0]):  # a scanner types the code and presses Enter
        field.press_sequentially(slab.code)
        field.press("Enter")
    figures = page.get_by_role("region", name="What it comes to")
    expect(figures).to_contain_text("80.0 b")  # two slabs of 30 in x 96 in, 8/4: 40 bf each
    expect(figures.locator("svg .piece")).to_have_count(2)
    field.press_sequentially("A-1 A-9")
    expect(figures).to_contain_text("Not known: A-9")
    figures.locator("summary").first.tap()
    expect(figures).to_contain_text("thickest piece of each course, summed")
    page.get_by_label("Bay").select_option(label="North row (outdoors)")
    page.locator("button.primary").tap()
    expect(page.locator("#field-slabs")).to_contain_text("No slab or log is called: A-9")
    field.fill(f"{slabs[2].code}\n{slabs[0].code}\nA-1")
    page.locator("button.primary").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-1")
    laid = Membership.objects.filter(stack__tag="ST-1").order_by("course").values_list("slab__tag", flat=True)
    assert list(laid) == ["A-2", "A-0", "A-1"]
    assert placement_faults() == []


def test_slabs_are_picked_from_the_list_and_a_whole_log_by_one_tap(phone_page):
    make_bay("North row")
    log = make_log("26-07", arrived_on="2025-01-02")
    for n in (1, 2):
        make_slab(f"26-07-{n}", log=log, widths_in=[12.0] * 3)
    make_slab("M-1", species_key="maple-sugar")
    page = phone_page
    page.goto("/stacks/build/")
    page.get_by_role("searchbox", name="Find loose slabs").fill("maple")
    page.get_by_role("button", name="Find").tap()
    expect(page.locator(".pick-list li")).to_have_count(1)
    page.get_by_label("M-1").check()
    page.get_by_role("button", name="Add the ticked ones").tap()
    expect(page.get_by_label("Slabs from the bottom up")).to_have_value("M-1")
    page.get_by_role("searchbox", name="Find loose slabs").fill("26-07")
    page.get_by_role("button", name="Find").tap()
    page.get_by_role("button", name="All 2 of log 26-07").tap()
    expect(page.get_by_label("Slabs from the bottom up")).to_have_value("M-1\n26-07-1\n26-07-2")
    page.get_by_label("Bay").select_option(label="North row (outdoors)")
    page.locator("button.primary").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-1")


def test_a_stack_is_moved_on_the_map_in_two_taps(phone_page):
    stack = make_stack("ST-1", bay=make_bay("North row", map_x=0, map_y=0))
    make_bay("Open shed", "shed", map_x=4, map_y=0, places=1)
    page = phone_page
    page.goto("/map/")
    page.get_by_role("link", name="Move ST-1").tap()
    page.get_by_role("button", name=re.compile("Open shed")).tap()
    expect(page).to_have_url(re.compile("/map/$"))
    expect(page.locator("#_messages")).to_contain_text("ST-1 stands in Open shed now.")
    expect(page.locator(".bay-cards li", has_text="Open shed")).to_contain_text("ST-1")
    assert Stack.objects.get(pk=stack.pk).bay.name == "Open shed"


def test_a_tap_on_the_drawing_opens_the_stack(phone_page):
    make_stack("ST-1", bay=make_bay("North row", map_x=0, map_y=0))
    page = phone_page
    page.goto("/map/")
    page.locator("svg a[aria-label='Stack ST-1, No estimate yet']").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-1")


def test_all_of_it_works_without_scripts(no_js_page):
    make_bay("North row"), make_bay("Open shed", "shed")
    for n in range(2):
        make_slab(f"A-{n}")
    page = no_js_page
    page.goto("/stacks/build/")
    page.get_by_label("Slabs from the bottom up").fill("A-0 A-1")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("region", name="What it comes to")).to_contain_text("44.0 b")
    page.get_by_label("Bay").select_option(label="North row (outdoors)")
    page.locator("button.primary").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-1")
    page.get_by_role("link", name="Move", exact=True).click()
    page.get_by_role("button", name=re.compile("Open shed")).click()
    expect(page.locator("main")).to_contain_text("ST-1 stands in Open shed now.")
    page.get_by_label("Tick A-1").check()
    page.get_by_role("button", name="Take the ticked ones out").click()
    page.get_by_role("button", name="Take it out").click()
    expect(page.locator("main")).to_contain_text("Out of ST-1: A-1.")
    page.get_by_role("link", name="Restack").click()
    page.get_by_label("Tag").fill("ST-2")
    page.locator("button.primary").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-2")
    assert Slab.objects.get(tag="A-0").stack.tag == "ST-2"
    assert placement_faults() == []


def test_the_list_narrows_while_a_word_is_typed(desk_page):
    make_stack("ST-oak")
    make_stack("ST-walnut", species="walnut-black")
    page = desk_page
    page.goto("/stacks/")
    page.get_by_label("Find").fill("walnut")
    expect(page.locator("#found tbody tr")).to_have_count(1)
    expect(page).to_have_url(re.compile("q=walnut"))


def test_only_the_part_of_a_bays_air_that_is_chosen_is_shown(desk_page):
    page = desk_page
    page.goto("/bays/new/")
    expect(page.locator("#id_name")).to_be_visible()
    expect(page.locator("#id_steady_temp_")).to_be_hidden()
    page.get_by_role("radio", name=re.compile("Held at a temperature")).check()
    page.get_by_label(re.compile("^Temperature held")).fill("68")
    page.get_by_label(re.compile("^Relative humidity held")).fill("38")
    page.get_by_label("Name").fill("Dry store")
    page.get_by_label("Dry store", exact=True).check()
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main")).to_contain_text("Held at 68 °F and 38%")


def yard_with_stacks():
    """Four bays, stacks ready, waiting, mixed, not estimated and taken down."""
    today = timezone.localdate()
    row = make_bay("North row", map_x=0, map_y=0, map_w=5, map_h=2)
    shed = make_bay("Open shed", "shed", map_x=7, map_y=0, map_w=5, map_h=3, places=1)
    make_bay("Kiln", "kiln", map_x=0, map_y=3, map_w=2, map_h=2)
    ready = make_stack("ST-1", bay=row, slabs=6)
    waiting = make_stack("ST-2", bay=row, slabs=[make_slab(), make_slab(thickness_in=1.125, quarters=4)])
    make_stack("ST-3 walnut by the gate", bay=shed, species="walnut-black")
    stuck = make_stack("ST-4", bay=shed, slabs=1, sticker_spacing_in=36)
    make_estimate(ready.cohorts.get(), mean_pct=12.0, reached_now=0.95)
    make_estimate(stuck.cohorts.get(), mean_pct=34.0)
    for cohort in waiting.cohorts.all():
        make_estimate(cohort, mean_pct=30.0, ready_on=today + 40 * DAY)
    stack_take_out(stack=ready, slabs=[ready.memberships.first().slab], at=BUILT_AT + DAY, by=None)
    down = make_stack("ST-0", bay=row)
    stack_take_down(stack=down, at=BUILT_AT + DAY, by=None)
    make_slab("L-1")
    return ready, waiting, down, row


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_stack_pages_look_right(open_page, browser_owner, size):
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    for path in ("/stacks/", "/map/", "/bays/", "/stacks/build/"):
        page.goto(path)
        look_over(page, f"empty{path.replace('/', '-')}")
    ready, waiting, down, row = yard_with_stacks()
    slab = Slab.objects.filter(stack=ready).first()
    for path, name in (
        ("/map/", "map"),
        ("/stacks/", "stacks"),
        (f"/stacks/build/?stack={waiting.pk}&restack=on", "stack-build"),
        (f"/stacks/{waiting.pk}/", "stack-page"),
        (f"/stacks/{ready.pk}/", "stack-page-ready"),
        (f"/stacks/{down.pk}/", "stack-page-down"),
        (f"/stacks/{ready.pk}/edit/", "stack-edit"),
        (f"/stacks/{ready.pk}/move/", "stack-move"),
        (f"/stacks/{ready.pk}/add/", "stack-add"),
        (f"/stacks/{ready.pk}/take-out/?slab={slab.pk}", "stack-take-out"),
        (f"/stacks/{ready.pk}/take-down/", "stack-take-down"),
        ("/bays/", "bays"),
        (f"/bays/{row.pk}/", "bay-page"),
        (f"/bays/{row.pk}/edit/", "bay-edit"),
    ):
        page.goto(path)
        for summary in page.locator("main details > summary:visible").all():
            summary.click()
        look_over(page, f"{name}")
        if size == PHONE:
            assert not small_targets(page), name
