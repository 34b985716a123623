"""Contacts, and a spreadsheet brought in as a person would, with and without a script."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from yard.models import Contact, Log

LIST = """Tag;Species;Top dia (cm);Length (m);Arrived;Owner;Comments
A1;red oak;30,5;4,2;14.03.2025;Ada Example;from the hill
A2;black walnut;42;2,4;15.03.2025;;
"""


@pytest.fixture
def spreadsheet(tmp_path):
    def written(text):
        path = tmp_path / "my logs.csv"
        path.write_text(text, encoding="cp1252")
        return path

    return written


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_contact_pages_fit_and_axe_finds_nothing(open_page, browser_owner, size):
    ida = Contact.objects.create(
        name="Ida Featherstonehaugh and daughters, cabinet makers", is_owner=True, is_buyer=True, is_supplier=True,
        phone="+1 555 0100", email="ida.featherstonehaugh.and.daughters@example.org", address="1 Mill Road\nElmtown",
    )  # fmt: skip
    page = open_page(size, person=browser_owner)
    for path in ("/contacts/", f"/contacts/{ida.pk}/", f"/contacts/{ida.pk}/edit/", "/contacts/new/", "/import/"):
        page.goto(path)
        look_over(page, f"{path}")
        if size == PHONE:
            assert not small_targets(page), f"{path}: {small_targets(page)}"


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_spreadsheet_of_logs_comes_in(open_page, browser_owner, spreadsheet, size, scripts):
    page = open_page(size, person=browser_owner, scripts=scripts, scheme="dark" if scripts else "light")
    page.goto("/import/")
    page.get_by_label("CSV file").set_input_files(spreadsheet(LIST))
    page.get_by_role("button", name="Read the file").click()
    page.get_by_role("heading", name="What the columns are").wait_for()
    assert page.get_by_label("“Top dia (cm)” is").locator("option:checked").inner_text() == "Small end diameter"
    assert page.get_by_label("Figures are written").locator("option:checked").inner_text() == "2,5"
    if scripts:
        look_over(page, "import columns")
    page.get_by_label("Add contacts that are missing").check()
    page.get_by_role("button", name="Look at the rows").click()
    page.get_by_role("heading", name="Which wood is it?").wait_for()
    if scripts:
        look_over(page, "import rows, a wood unclear")
    page.get_by_role("button", name="That is what they are").click()
    page.get_by_text("All 2 rows can be read").wait_for()
    if scripts:
        look_over(page, "import rows, ready")
    page.get_by_role("button", name="Import 2 logs").click()
    page.get_by_text("2 logs came in from my logs.csv").wait_for()
    assert [log.species_key for log in Log.objects.order_by("tag")] == ["oak-northern-red", "walnut-black"]


def test_a_broken_row_is_shown_and_nothing_is_saved(phone_page, spreadsheet):
    page = phone_page
    page.goto("/import/")
    page.get_by_label("CSV file").set_input_files(
        spreadsheet(LIST.replace("30,5", "thirty").replace("red oak", "white oak"))
    )
    page.get_by_role("button", name="Read the file").click()
    page.get_by_role("button", name="Look at the rows").click()
    page.get_by_text("Row 2").first.wait_for()
    assert "thirty" in page.locator("main").inner_text()
    assert page.get_by_role("button", name="Import", exact=False).filter(has_text="Import 2").count() == 0
    look_over(page, "import rows, broken")
    assert not Log.objects.exists()
