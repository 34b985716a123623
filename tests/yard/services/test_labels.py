"""Labels: read back from the printed page by two libraries that had no part in drawing it."""

import pypdfium2
import pytest
import zxingcpp

from tests.make import make_bay, make_log, make_slab, make_stack
from yard.services.label_kinds import KINDS
from yard.services.label_sizes import BY_KEY, SIZES
from yard.services.labels import (
    NothingToPrint,
    code_clean,
    find,
    find_by_code,
    labels_print,
    only_this_machine,
    things_chosen,
)
from yard.services.weighings import sample_add

BASE = "https://yard.local:8443/"
DOTS_PER_IN = 200


def printed(noun, things, size="letter-10", **options):
    pdf = labels_print(noun=noun, things=things, base=BASE, size_key=size, **options)
    return pypdfium2.PdfDocument(pdf)


def codes_on(page):
    picture = page.render(scale=DOTS_PER_IN / 72).to_pil().convert("L")
    # Model 2 is the code that labels print; asked for every kind, it now and then takes part of one for a tiny one.
    return [one.text for one in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCodeModel2)]


def words_on(page):
    """The text in one line: where it breaks is the size's business."""
    return " ".join(page.get_textpage().get_text_bounded().split())


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_every_code_of_a_full_sheet_is_read_from_the_printed_page(yard, size):
    slabs = [make_slab() for _ in range(size.on_a_sheet)]
    pages = printed("slab", slabs, size.key)
    assert len(pages) == 1
    assert sorted(codes_on(pages[0])) == sorted(f"HTTPS://YARD.LOCAL:8443/C/{slab.code}" for slab in slabs)
    text = words_on(pages[0])
    for slab in slabs:
        assert slab.tag in text
        assert f"{slab.code[:3]} {slab.code[3:]}" in text


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.key)
def test_labels_lie_on_their_paper_and_not_on_each_other(size):
    corners = [size.corner_pt(place) for place in range(size.on_a_sheet)]
    for x, y in corners:
        assert x >= -1e-6
        assert y >= -1e-6
        assert x + size.width_pt <= size.paper_pt[0] + 1e-6
        assert y + size.height_pt <= size.paper_pt[1] + 1e-6
    for n, (x, y) in enumerate(corners):
        for other_x, other_y in corners[n + 1 :]:
            apart = abs(x - other_x) >= size.width_pt - 1e-6 or abs(y - other_y) >= size.height_pt - 1e-6
            assert apart


def test_slab_label_says_what_a_person_without_a_phone_must_know(yard):
    slab = make_slab(tag="L-14-3")
    text = words_on(printed("slab", [slab])[0])
    # Mean width by trapezoids (18/2 + 16.5 + 15 + 16 + 19/2) / 4 = 16.5 in; × 96 in × 2 in / 144 = 22.0 bf.
    for words in ("L-14-3", "Northern red oak", "8/4 live-edge slab", "22.0 bf green, on the narrow face", "× 8'"):
        assert words in text, words


def test_label_of_a_lot_a_log_a_stack_a_bay_and_a_sample(yard):
    lot = make_slab(
        kind="lot", tally=[{"width_in": 6, "length_in": 96, "count": 12}], widths_in=[], width_basis="edged"
    )
    assert "8/4 12 boards" in words_on(printed("slab", [lot])[0])
    log = make_log("L-9")
    text = words_on(printed("log", [log])[0])
    assert "16 in to 20 in × 8' 6\"" in text
    assert "International 1/4-inch" in text
    stack = make_stack("ST-4", slabs=3)
    assert "3 pieces" in words_on(printed("stack", [stack])[0])
    bay = make_bay("North shed", kind="shed")
    assert "North shed" in words_on(printed("bay", [bay])[0])
    sample = sample_add(cohort=stack.cohorts.get(), name="ST-4 A", place_note="course 2, east end")
    text = words_on(printed("sample", [sample])[0])
    assert "Sample of ST-4" in text
    assert "course 2, east end" in text


def test_names_print_in_their_own_letters(yard):
    bay = make_bay("Halle Öst / Łąka / Сарай")
    assert "Łąka / Сарай" in words_on(printed("bay", [bay], "letter-sign")[0])


def test_sheet_partly_used_starts_at_its_first_free_place(yard):
    slabs = [make_slab() for _ in range(3)]
    pages = printed("slab", slabs, "letter-10", first_place=9)
    assert [len(codes_on(page)) for page in pages] == [2, 1]


def test_copies_are_printed_of_each(yard):
    slab = make_slab()
    assert codes_on(printed("slab", [slab], "a4-8", copies=3)[0]) == [f"HTTPS://YARD.LOCAL:8443/C/{slab.code}"] * 3


def test_nudge_moves_the_print(yard):
    slab = make_slab()

    def left_edge(**options):
        page = printed("slab", [slab], "letter-6", **options)[0]
        picture = page.render(scale=1).to_pil().convert("L").point(lambda value: 255 if value < 128 else 0)
        return picture.getbbox()[0]

    assert left_edge(nudge_mm=(10, 0)) - left_edge() == pytest.approx(10 * 72 / 25.4, abs=1.5)


def test_long_tag_and_long_lines_stay_on_their_label(yard):
    bay = make_bay("The long shed behind the house, north end by the old fence")
    page = printed("bay", [bay], "letter-30")[0]
    picture = page.render(scale=1).to_pil().convert("L").point(lambda value: 255 if value < 128 else 0)
    left, top, right, bottom = picture.getbbox()
    size = BY_KEY["letter-30"]
    x, y = size.corner_pt(0)
    assert left >= x - 1
    assert right <= x + size.width_pt + 1
    assert top >= size.paper_pt[1] - y - size.height_pt - 1
    assert bottom <= size.paper_pt[1] - y + 1


def test_nothing_and_too_much_are_refused_in_words(yard):
    with pytest.raises(NothingToPrint, match="no slab"):
        printed("slab", [])
    with pytest.raises(NothingToPrint, match="at most"):
        printed("slab", [make_slab()], copies=601)


def test_slabs_of_a_log_are_printed_in_sawing_order(yard):
    log = make_log()
    slabs = [make_slab(log=log) for _ in range(3)]
    assert things_chosen("slab", log=log) == slabs


def test_slabs_and_samples_of_a_stack_and_things_by_tag_or_code(yard):
    stack = make_stack(slabs=2)
    assert set(things_chosen("slab", stack_id=stack.pk)) == set(stack.slabs_now.all())
    sample = sample_add(cohort=stack.cohorts.get(), name="A")
    assert things_chosen("sample", stack_id=stack.pk) == [sample]
    slab = stack.slabs_now.first()
    assert things_chosen("slab", typed=[slab.tag.lower(), slab.code.lower()]) == [slab, slab]
    with pytest.raises(NothingToPrint, match="Z-99"):
        things_chosen("slab", typed=["Z-99"])


def test_code_is_found_however_it_is_typed(yard):
    slab = make_slab()
    for typed in (slab.code, slab.code.lower(), f" {slab.code[:3]}-{slab.code[3:]} ", f"{BASE}C/{slab.code}"):
        assert find_by_code(typed).thing == slab
    assert find_by_code("000000") is None
    assert find_by_code("") is None


def test_each_kind_is_found_by_its_code(yard):
    stack = make_stack(slabs=1)
    sample = sample_add(cohort=stack.cohorts.get(), name="B")
    for noun, thing in {
        "slab": make_slab(), "log": make_log(), "stack": stack, "bay": stack.bay, "sample": sample,
    }.items():  # fmt: skip
        found = find_by_code(thing.code)
        assert (found.kind, found.thing) == (KINDS[noun], thing)


def test_tag_is_found_exactly_or_by_its_beginning(yard):
    first, second = make_slab(tag="Q-14-1"), make_slab(tag="Q-14-11")
    assert [one.thing for one in find("q-14-1")] == [first]
    assert [one.thing for one in find("q-14")] == [first, second]
    assert find("nothing like it") == []


def test_address_of_the_machine_itself_is_known_to_lead_phones_nowhere():
    assert only_this_machine("http://localhost:8000/")
    assert only_this_machine("http://127.0.0.1:8000/")
    assert not only_this_machine("https://yard.local/")
    assert code_clean("https://yard.local/c/k7m2qx/") == "K7M2QX"
