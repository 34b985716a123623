"""The saw as a person uses it: a gloved thumb, a keyboard, a dead signal, no script at all."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, shot, small_targets
from tests.make import make_log, make_slab
from yard.models import Log, LogState, Slab, SlabState

WIDTHS = "18 16.5 15 16 19"


@pytest.fixture
def log(browser_yard):
    return make_log("26-7", small_end_in=20, large_end_in=24, length_ft=8.5)


def open_saw(page, log):
    page.goto(f"/logs/{log.pk}/saw/")
    expect(page.locator("#saw-form.scripted")).to_be_visible()


def type_row(page, widths=WIDTHS, thickness="2 1/8", length="8"):
    page.get_by_label(re.compile("Sawn thickness")).fill(thickness)
    page.get_by_label(re.compile("^Length")).fill(length)
    page.get_by_label(re.compile("Widths, butt")).fill(widths)


def rows(page):
    return page.locator(".saw-row")


def test_a_thumb_types_widths_on_the_pad_and_adds_a_slab(phone_page, log):
    page = phone_page
    make_slab("26-7-1", log=log, widths_in=[12.0])
    open_saw(page, log)
    pad = page.get_by_role("group", name="Keys for widths")
    expect(pad).to_be_visible()
    for key in ("1", "8", "Next width", "1", "6", "½", "Next width", "1", "5", "5", "Back"):
        pad.get_by_role("button", name=key, exact=True).tap()
    widths = page.get_by_label(re.compile("Widths, butt"))
    expect(widths).to_have_value("18; 16½; 15")
    expect(page.locator("#check")).to_contain_text("3 widths, one every 48 in")
    page.get_by_role("button", name="Add slab").tap()
    expect(page.locator("#said")).to_contain_text("26-7-2 is written down")
    expect(rows(page)).to_have_count(2)
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("")
    assert Slab.objects.get(tag="26-7-2").widths_in == [18, 16.5, 15]
    shot(page, "saw-after-add")


def test_the_next_slabs_field_and_keys_are_in_sight_after_adding(phone_page, log):
    page = phone_page
    make_slab("26-7-1", log=log, widths_in=[12.0])
    open_saw(page, log)
    page.get_by_label(re.compile("Widths, butt")).fill("12")
    page.get_by_role("button", name="Add slab").tap()
    expect(rows(page)).to_have_count(2)
    for shown in (
        page.get_by_label(re.compile("Widths, butt")),
        page.get_by_role("button", name="Next width"),
        page.get_by_role("button", name="Add slab"),
    ):
        expect(shown).to_be_in_viewport()


def test_a_thumb_tallies_boards_by_their_width(phone_page, log):
    page = phone_page
    open_saw(page, log)
    page.get_by_role("radio", name="Lot").tap()
    expect(page.get_by_label(re.compile("Widths, butt"))).to_be_hidden()
    page.get_by_role("button", name="4/4", exact=True).tap()
    tally = page.get_by_role("group", name="One board of this width")
    for width in ("6", "6", "7", "8", "8", "8", "14", "Back"):
        tally.get_by_role("button", name=width, exact=True).tap()
    expect(page.locator("#check")).to_contain_text("6 boards")
    page.get_by_role("button", name="Add slab").tap()
    expect(rows(page)).to_contain_text("2 × 6, 1 × 7, 3 × 8 in")
    assert Slab.objects.get().count == 6


def test_a_keyboard_alone_saws_a_log(desk_page, log):
    page = desk_page
    open_saw(page, log)
    expect(page.get_by_label(re.compile("Sawn thickness"))).to_be_focused()
    page.keyboard.type("8/4")
    page.keyboard.press("Tab")
    page.keyboard.type("8")
    page.get_by_label(re.compile("Widths, butt")).focus()
    page.keyboard.type(WIDTHS)
    expect(page.locator("#check")).to_contain_text("1,584 in²")
    page.keyboard.press("Enter")
    expect(rows(page)).to_have_count(1)
    expect(page.get_by_label(re.compile("Widths, butt"))).to_be_focused()
    page.keyboard.type("17 16 15")
    page.keyboard.press("Enter")
    expect(rows(page)).to_have_count(2)
    page.keyboard.press("Alt+r")
    expect(rows(page)).to_have_count(3)
    page.keyboard.press("Alt+u")
    expect(rows(page)).to_have_count(2)
    standing = Slab.objects.exclude(state=SlabState.VOID).order_by("position")
    assert [slab.widths_in for slab in standing] == [[18, 16.5, 15, 16, 19], [17, 16, 15]]


def test_the_published_slab_shows_its_area_and_opens_to_the_working(desk_page, log):
    page = desk_page
    open_saw(page, log)
    type_row(page)
    check = page.locator("#check")
    expect(check).to_contain_text("1,584 in²")
    check.locator("summary").first.click()
    expect(check).to_contain_text("step × (half the first + the ones between + half the last)")
    expect(check).to_contain_text("Provenance:")


def test_a_reload_keeps_the_row_being_typed_until_the_server_has_it(phone_page, log):
    page = phone_page
    open_saw(page, log)
    type_row(page)
    page.get_by_label("Ends sealed").tap()
    page.reload()
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value(WIDTHS)
    expect(page.get_by_label(re.compile("Sawn thickness"))).to_have_value("2 1/8")
    expect(page.get_by_label("Ends sealed")).to_be_checked()
    page.get_by_role("button", name="Add slab").tap()
    expect(rows(page)).to_have_count(1)
    page.reload()
    expect(rows(page)).to_have_count(1)
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("")


def test_a_row_sent_into_a_dead_signal_is_kept_and_goes_when_it_is_back(phone_page, log):
    page = phone_page
    open_saw(page, log)
    type_row(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Add slab").tap()
    expect(page.locator("#said")).to_contain_text("waits on this phone")
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("")
    assert not Slab.objects.exists()
    page.context.set_offline(False)
    expect(rows(page)).to_have_count(1)
    assert Slab.objects.count() == 1
    page.problems.clear()  # the browser complains of the cut itself


def test_an_answer_lost_on_the_way_makes_no_second_slab(phone_page, log):
    page = phone_page
    open_saw(page, log)
    type_row(page)

    def lose_the_answer(route):
        route.fetch()  # the server gets it and saves
        route.abort()

    page.route("**/saw/", lambda route: lose_the_answer(route) if route.request.method == "POST" else route.continue_())
    page.get_by_role("button", name="Add slab").tap()
    expect(rows(page)).to_have_count(1)  # the phone sent it once more by itself
    page.unroute("**/saw/")
    page.reload()
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("")
    assert Slab.objects.count() == 1
    page.problems.clear()


def test_same_again_keeps_the_row_being_typed(desk_page, log):
    page = desk_page
    make_slab("26-7-1", log=log, kind="board", widths_in=[9.0], thickness_in=1.125, quarters=4)
    open_saw(page, log)
    page.get_by_label(re.compile("Widths, butt")).fill("11")
    page.get_by_role("button", name="Same again").click()
    expect(rows(page)).to_have_count(2)
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("11")


def test_a_slab_wider_than_its_log_says_so_and_keeps_what_was_typed(phone_page, log):
    page = phone_page
    open_saw(page, log)
    type_row(page, widths="18 27 19")
    expect(page.locator("#check")).to_contain_text("wider than log 26-7")
    page.get_by_role("button", name="Add slab").tap()
    expect(page.locator("#field-widths_in .error")).to_contain_text("its large end is 24 in")
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("18 27 19")
    expect(page.get_by_label(re.compile("Widths, butt"))).to_be_focused()
    assert not Slab.objects.exists()


def test_a_row_is_changed_in_place(desk_page, log):
    page = desk_page
    make_slab("26-7-1", log=log, widths_in=[12.0])
    open_saw(page, log)
    page.get_by_role("link", name="Change 26-7-1").click()
    form = page.locator("#row_form")
    form.get_by_label(re.compile("Widths, butt")).fill("30")
    form.get_by_role("button", name="Save").click()
    expect(form.locator(".error")).to_contain_text("wider than log")
    form.get_by_label(re.compile("Widths, butt")).fill("14 13 12")
    form.get_by_role("button", name="Save").click()
    expect(form).to_have_count(0)
    expect(rows(page)).to_contain_text("14, 13, 12 in")
    assert Slab.objects.get().widths_in == [14, 13, 12]


def test_the_row_form_is_left_without_leaving_the_saw(desk_page, log):
    page = desk_page
    make_slab("26-7-1", log=log, widths_in=[12.0])
    open_saw(page, log)
    page.get_by_role("link", name="Change 26-7-1").click()
    page.locator("#row_form").get_by_role("link", name="Leave it").click()
    expect(page.locator("#row_form")).to_have_count(0)
    expect(page).to_have_url(re.compile(r"/saw/$"))


def test_finishing_shows_the_yield(phone_page, log):
    page = phone_page
    make_slab("26-7-1", log=log, widths_in=[12.0])
    open_saw(page, log)
    page.get_by_role("button", name="The log is sawn").tap()
    expect(page).to_have_url(re.compile(rf"/logs/{log.pk}/$"))
    expect(page.locator("#_messages")).to_contain_text("Log 26-7 is sawn: 1 slab")
    assert Log.objects.get().state == LogState.SAWN


def test_without_a_script_a_log_is_sawn_from_first_slab_to_last(no_js_page, log):
    page = no_js_page
    page.goto(f"/logs/{log.pk}/saw/")
    type_row(page, widths="18 27 19")
    page.get_by_role("button", name="Add slab").click()
    expect(page.locator("#field-widths_in .error")).to_contain_text("wider than log")
    expect(page.get_by_label(re.compile("Widths, butt"))).to_have_value("18 27 19")
    page.get_by_label(re.compile("Widths, butt")).fill(WIDTHS)
    page.get_by_role("button", name="Add slab").click()
    expect(rows(page)).to_have_count(1)
    page.get_by_role("button", name="Same again").click()
    expect(rows(page)).to_have_count(2)
    page.get_by_role("button", name="Take back").click()
    expect(rows(page)).to_have_count(1)
    page.get_by_role("link", name="Change 26-7-1").click()
    page.get_by_label(re.compile("Widths, butt")).fill("18 17 16")
    page.get_by_role("button", name="Save").click()
    expect(rows(page)).to_contain_text("18, 17, 16 in")
    page.get_by_role("button", name="The log is sawn").click()
    expect(page.locator("main")).to_contain_text("Log 26-7 is sawn: 1 slab")


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_saw_looks_right(open_page, browser_owner, log, size):
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    page.goto("/saw/")
    look_over(page, "saw-choose")
    for widths in ([14.5, 13, 12, 12.5, 15], [18, 16.5, 15, 16, 19]):
        make_slab(log=log, widths_in=widths)
    open_saw(page, log)
    type_row(page)
    expect(page.locator("#check")).to_contain_text("1,584 in²")
    look_over(page, "saw")
    if size == PHONE:
        assert not small_targets(page)
    page.get_by_role("link", name=re.compile("^Change T-")).first.click()
    expect(page.locator("#row_form")).to_be_visible()
    look_over(page, "saw-row")
