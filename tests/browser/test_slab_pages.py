"""Slabs in a real Chromium: finding them with a thumb, without a script, and two people editing one."""

from datetime import date

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_bay, make_log, make_slab, make_stack
from yard.models import Contact, Estimate, Slab
from yard.services.slabs import slab_void


@pytest.fixture
def wood(browser_yard):
    """Pieces of every state, one of them with a name that hardly fits."""
    log = make_log(tag="26-7", small_end_in=30, large_end_in=34, length_ft=12)
    slabs = [
        make_slab(f"26-7-{number}", log=log, widths_in=[18.0 + number, 16.5, 17.0], matched_set="Table pair")
        for number in range(1, 6)
    ]
    stack = make_stack("ST-1", slabs=slabs[:3], bay=make_bay("The long shed behind the barn", kind="shed"))
    for cohort in stack.cohorts.all():
        cohort.estimate = Estimate.objects.create(
            cohort=cohort, as_of=date(2026, 3, 1), computed_at="2026-03-01T12:00Z", mean_pct=18.4, mean_low_pct=16.9,
            mean_high_pct=20.1, shell_pct=14.0, core_pct=23.1, core_low_pct=20.8, core_high_pct=25.6,
            rate_pct_day=0.12,
        )  # fmt: skip
        cohort.save()
    ida = Contact.objects.create(name="Ida Featherstonehaugh and daughters, cabinet makers", is_owner=True)
    slabs.append(make_slab("A-VERY-LONG-TAG-OF-SOMEBODY-30", species_key="walnut-black", owner=ida, figure="crotch"))
    lot = [{"width_in": 6.0, "length_in": 96.0, "count": 40}]
    slabs.append(make_slab("LOT-1", kind="lot", widths_in=[], tally=lot, thickness_in=1.125, quarters=4, price=480))
    gone = make_slab("OOPS")
    slab_void(by=None, slab=gone, reason="typed twice")
    slabs.append(gone)
    return {slab.tag: slab for slab in slabs}


def pages(wood):
    stacked, loose, lot = wood["26-7-2"], wood["26-7-5"], wood["LOT-1"]
    return {
        "slabs": "/slabs/",
        "slabs filtered": "/slabs/?state=all&quarters=8&width_from=10&mc_to=40&q=oak",
        "slabs none": "/slabs/?q=nothing-like-that",
        "slab stacked": f"/slabs/{stacked.pk}/",
        "slab loose": f"/slabs/{loose.pk}/",
        "slab void": f"/slabs/{wood['OOPS'].pk}/",
        "slab lot": f"/slabs/{lot.pk}/",
        "slab edit": f"/slabs/{loose.pk}/edit/",
        "slab dry": f"/slabs/{loose.pk}/dry/",
        "slab split": f"/slabs/{lot.pk}/split/",
        "slab void form": f"/slabs/{loose.pk}/void/",
        "slab new": "/slabs/new/",
    }


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_slab_page_fits_and_axe_finds_nothing(open_page, browser_owner, wood, size):
    page = open_page(size, person=browser_owner)
    for name, path in pages(wood).items():
        page.goto(path)
        look_over(page, f"{name}")
        if size == PHONE:
            assert not small_targets(page), f"{name}: {small_targets(page)}"


def test_a_thumb_finds_a_piece_and_the_back_button_keeps_the_filters(phone_page, wood):
    phone_page.goto("/slabs/")
    phone_page.get_by_label("Find").fill("walnut")
    phone_page.wait_for_url("**q=walnut**")
    phone_page.get_by_text("1 piece", exact=True).last.wait_for()
    phone_page.get_by_text("More filters").tap()
    phone_page.get_by_label("Width from").fill("12")
    phone_page.get_by_label("Width from").blur()
    phone_page.wait_for_url("**width_from=12**")
    phone_page.get_by_role("link", name="A-VERY-LONG-TAG-OF-SOMEBODY-30").tap()
    phone_page.get_by_role("heading", name="A-VERY-LONG-TAG-OF-SOMEBODY-30").wait_for()
    phone_page.go_back()
    phone_page.get_by_text("1 piece", exact=True).last.wait_for()
    assert phone_page.get_by_label("Find").input_value() == "walnut"
    assert phone_page.get_by_label("Width from").input_value() == "12"
    phone_page.get_by_role("link", name="Find: walnut").tap()
    phone_page.get_by_role("link", name="26-7-5", exact=True).wait_for()
    assert "width_from=12" in phone_page.url
    assert "walnut" not in phone_page.url


def test_a_shared_link_shows_the_same_list(open_page, browser_owner, wood):
    page = open_page(DESK, person=browser_owner)
    page.goto("/slabs/?stack=ST-1&order=widest")
    rows = page.locator(".slab-list tbody th")
    assert rows.all_inner_texts() == ["26-7-3", "26-7-2", "26-7-1"]
    assert "16.9% to 20.1%" in page.locator(".slab-list tbody").inner_text()


def test_ticked_pieces_are_counted_and_go_to_a_new_stack(phone_page, wood):
    phone_page.goto("/slabs/?state=sawn&log=26-7")
    for tag in ("26-7-4", "26-7-5"):
        phone_page.get_by_label(f"Choose {tag}").check()
    phone_page.get_by_text("2 chosen").wait_for()
    phone_page.get_by_role("button", name="Stack these").tap()
    phone_page.wait_for_url("**/stacks/build/**")
    typed = phone_page.locator("textarea[name=slabs]").input_value()
    assert sorted(typed.split()) == ["26-7-4", "26-7-5"]


def test_without_a_script_everything_is_found_and_stacked_too(no_js_page, wood):
    page = no_js_page
    page.goto("/slabs/")
    page.get_by_label("Find").fill("oak")
    page.get_by_label("State").select_option(label="Not stacked")
    page.get_by_role("button", name="Show").click()
    assert "q=oak" in page.url
    page.get_by_label("Choose 26-7-5").check()
    page.get_by_role("button", name="Stack these").click()
    assert "26-7-5" in page.locator("textarea[name=slabs]").input_value()


def test_two_people_editing_one_slab_see_both_and_lose_nothing(open_page, browser_owner, wood):
    slab = wood["26-7-5"]
    first, second = (open_page(PHONE, person=browser_owner) for _ in range(2))
    for page in (first, second):
        page.goto(f"/slabs/{slab.pk}/edit/")
    first.get_by_label("Grade").fill("FAS")
    first.get_by_role("button", name="Save").click()
    first.get_by_text("26-7-5 is changed").wait_for()
    second.get_by_label("Grade").fill("Select")
    second.get_by_label("Note").fill("by the door")
    second.get_by_role("button", name="Save").click()
    second.get_by_text("Saved meanwhile").wait_for()
    row = second.locator("tr", has_text="Grade")
    assert row.inner_text().split() == ["Grade", "FAS", "Select"]
    assert second.get_by_label("Note").input_value() == "by the door"
    look_over(second, "slab edit two people")
    second.get_by_role("button", name="Save").click()
    second.get_by_text("26-7-5 is changed").wait_for()
    slab = Slab.objects.get(pk=slab.pk)
    assert (slab.grade, slab.note) == ("Select", "by the door")


def test_bought_in_wood_is_added_with_fractions_on_a_phone(phone_page, browser_yard):
    page = phone_page
    page.goto("/slabs/new/")
    page.get_by_label("Species").fill("white oak")
    page.get_by_label("Thickness").first.fill("8/4")
    page.locator("[name=length_in]").fill("8' 6\"")
    page.locator("[name=widths_in]").fill("9 1/2")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_text("S-1 is added").wait_for()
    slab = Slab.objects.get()
    assert (slab.species_key, slab.quarters, slab.length_in, slab.widths_in) == ("oak-white", 8, 102, [9.5])


def test_a_photo_is_added_in_place_and_removed(phone_page, wood, tmp_path):
    from PIL import Image

    Image.new("RGB", (900, 600), "peru").save(tmp_path / "face.jpg")
    (tmp_path / "no.heic").write_bytes(b"\x00\x00\x00\x18ftypheic" + b"\x00" * 64)
    page = phone_page
    page.goto(f"/slabs/{wood['26-7-5'].pk}/")
    page.get_by_text("Add photos").click()
    page.get_by_label("Pictures").set_input_files(tmp_path / "no.heic")
    page.get_by_label("What they show").fill("Face side")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_text("Most compatible").wait_for()
    assert page.get_by_label("What they show").input_value() == "Face side"
    page.get_by_label("Pictures").set_input_files(tmp_path / "face.jpg")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_alt_text("Face side of slab 26-7-5").wait_for()
    expect(page.locator(".htmx-settling, .htmx-swapping")).to_have_count(0)
    look_over(page, "slab with a photo")
    page.reload()  # taking a picture of the page leaves style attributes behind
    page.get_by_text("Remove", exact=False).first.click()
    page.get_by_role("button", name="Remove for good").click()
    page.get_by_text("No photos yet").wait_for()
