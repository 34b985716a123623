"""Bringing in spreadsheets: all rows or none, each fault named by row and column, wood as it was written."""

from datetime import date

import pytest

from tests.make import make_log, make_slab
from yard.models import Contact, History, ImportFile, Log, Slab
from yard.services.import_columns import Choices, choices_from
from yard.services.imports import (
    ImportRefused,
    import_choices,
    import_choose,
    import_drop,
    import_file_add,
    import_headings,
    import_preview,
    import_run,
)
from yard.services.spreadsheets import UnreadableFile

LOGS = """Tag,Species,Small end (in),Length (ft),Arrived
A1,northern red oak,12,16,2025-03-01
A2,black walnut,"18 1/2",8' 6",2025-03-02
"""
SLABS = """tag;species;thickness;width;length;sawn
P1;sugar maple;54;45,5;2,4;14.03.2025
P2;sugar maple;54;45,5 42 40;2,4;14.03.2025
"""


def add(text, kind="logs", metric=False, by=None):
    data = text if isinstance(text, bytes) else text.encode()
    return import_file_add(kind=kind, name="list.csv", data=data, by=by, metric=metric)


def choose(file, **changes):
    """The guessed choices with changes, as the form would keep them."""
    kept = import_choices(file).kept() | changes
    import_choose(file=file, choices=choices_from(kept, file.kind, import_headings(file)))
    return file


def problems(file):
    return [(problem.row, problem.column, problem.message) for problem in import_preview(file).problems]


def test_logs_come_in_with_their_scale_and_history(yard, owner):
    file = add(LOGS, by=owner)
    assert import_run(file=file, by=owner) == 2
    first, second = Log.objects.order_by("tag")
    assert (first.species_key, first.small_end_in, first.length_ft) == ("oak-northern-red", 12, 16)
    # A 12 in x 16 ft log: 64 by Doyle, 95 by International (the tables printed in tests/published).
    assert (first.doyle_bf, first.international_bf) == (64, 95)
    assert (second.small_end_in, second.length_ft, second.arrived_on) == (18.5, 8.5, date(2025, 3, 2))
    assert first.code != second.code
    assert History.objects.filter(table="log", action="added", by=owner).count() == 2


def test_metric_slabs_with_decimal_commas_come_in_as_inches(yard, owner):
    import_run(file=add(SLABS, "slabs", metric=True), by=owner)
    one, two = Slab.objects.order_by("tag")
    assert one.thickness_in == pytest.approx(54 / 25.4)
    assert one.widths_in == pytest.approx([455 / 25.4])
    assert one.length_in == pytest.approx(2400 / 25.4)
    assert two.widths_in == pytest.approx([455 / 25.4, 420 / 25.4, 400 / 25.4])
    assert one.sawn_on == date(2025, 3, 14)
    assert one.area_in2 == pytest.approx(455 / 25.4 * 2400 / 25.4)
    assert one.quarters == 8


def test_a_broken_row_is_named_and_nothing_is_saved(yard, owner):
    file = add(LOGS + "A3,northern red oak,twelve,16,2025-03-03\nA4,northern red oak,14,-8,2025-03-04\n")
    found = problems(file)
    assert [(row, column) for row, column, _ in found] == [(4, "Small end (in)"), (5, "Length (ft)")]
    assert "twelve" in found[0][2]
    with pytest.raises(ImportRefused) as refused:
        import_run(file=file, by=owner)
    assert [problem.row for problem in refused.value.problems] == [4, 5]
    assert not Log.objects.exists()
    assert not History.objects.exists()
    file.refresh_from_db()
    assert file.is_open
    assert file.text


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("A3,northern red oak,12,16,2099-01-01", "Arrived", "still to come"),
        ("A3,northern red oak,12,16,2025-13-01", "Arrived", "no day"),
        ("A3,oka xyzzy,12,16,2025-01-01", "Species", "species table"),
        ("A3,oak,12,16,2025-01-01", "Species", "several"),
        ("A3,northern red oak,500,16,2025-01-01", "Small end (in)", "outside"),
        ("A3,northern red oak,130,16,2025-01-01", "Small end (in)", "outside 1 to 120"),
        ("A3,northern red oak,12,,2025-01-01", "Length (ft)", "missing"),
        (",northern red oak,12,16,2025-01-01", "Tag", "missing"),
        ("a1,northern red oak,12,16,2025-01-01", "Tag", "row 2 has it already"),
        ("A3,northern red oak,12,16,2025-01-01,more", "the row", "6 cells"),
    ],
)
def test_each_fault_says_its_row_its_column_and_what_to_do(yard, row, column, words):
    found = problems(add(LOGS + row + "\n"))
    assert [(number, heading) for number, heading, _ in found] == [(4, column)]
    assert words in found[0][2]


def test_a_name_that_can_be_several_woods_is_asked_once_and_then_known(yard):
    file = add(LOGS.replace("northern red oak", "Red oak"))
    reading = import_preview(file)
    assert "oak-northern-red" in [wood.key for wood in reading.unclear_species["Red oak"]]
    assert [problem.row for problem in reading.problems] == [2]
    choose(file, species={"red oak": "oak-southern-red"})
    assert [row["species_key"] for row in import_preview(file).rows_read] == ["oak-southern-red", "walnut-black"]


def test_a_tag_that_the_yard_has_is_refused_whatever_its_capitals(yard):
    make_log(tag="a2")
    assert problems(add(LOGS)) == [(3, "Tag", "The tag is doubled: it is in the yard already.")]


def test_a_file_is_imported_once(yard, owner):
    file = add(LOGS)
    import_run(file=file, by=owner)
    with pytest.raises(ImportRefused, match="already"):
        import_run(file=ImportFile.objects.get(), by=owner)
    assert Log.objects.count() == 2


def test_a_dropped_file_cannot_be_imported_and_its_text_is_gone(yard, owner):
    file = add(LOGS)
    import_drop(file=file)
    with pytest.raises(ImportRefused):
        import_run(file=file, by=owner)
    assert ImportFile.objects.get().text == ""


def test_slabs_join_their_log_and_take_its_species_owner_and_next_place(yard, owner):
    customer = Contact.objects.create(name="Ada Example", is_owner=True)
    log = make_log(tag="26-1", owner=customer, small_end_in=20, large_end_in=22)
    make_slab(log=log)
    text = "tag,log,thickness,width,length\nB1,26-1,2,14,8\nB2,26-1,2,15,8\n"
    import_run(file=add(text, "slabs"), by=owner)
    slabs = Slab.objects.filter(tag__startswith="B").order_by("tag")
    assert [(slab.log_id, slab.position, slab.owner_id) for slab in slabs] == [
        (log.pk, 2, customer.pk),
        (log.pk, 3, customer.pk),
    ]
    assert slabs[0].species_key == log.species_key


def test_a_slab_wider_than_its_log_is_refused(yard):
    make_log(tag="26-1", small_end_in=20, large_end_in=22)
    found = problems(add("tag,log,thickness,width,length\nB1,26-1,2,30,8\n", "slabs"))
    assert [(row, column) for row, column, _ in found] == [(2, "width")]
    assert "wider than log 26-1" in found[0][2]


def test_an_unknown_log_and_an_unknown_bay_are_named(yard):
    text = "tag,log,bay,thickness,width,length,species\nB1,26-9,Nowhere,2,14,8,northern red oak\n"
    assert [(row, column) for row, column, _ in problems(add(text, "slabs"))] == [(2, "log"), (2, "bay")]


def test_several_pieces_under_one_tag_are_a_lot_with_its_tally(yard, owner):
    text = "tag,species,pieces,thickness,width,length\nL1,northern red oak,40,4/4,6,8\n"
    import_run(file=add(text, "slabs"), by=owner)
    lot = Slab.objects.get()
    assert (lot.kind, lot.count, lot.tally) == ("lot", 40, [{"width_in": 6.0, "length_in": 96.0, "count": 40}])
    assert lot.green_bf == pytest.approx(160)  # 40 boards of 1 x 6 in x 8 ft: 4 bf each


def test_missing_contacts_are_named_or_added_when_that_is_chosen(yard, owner):
    text = LOGS.replace("Arrived\n", "Arrived,Owner\n").replace("-03-01\n", "-03-01,Ada Example\n")
    file = add(text.replace("-03-02\n", "-03-02,ours\n"))
    assert [(row, column) for row, column, _ in problems(file)] == [(2, "Owner")]
    choose(file, add_contacts=True)
    assert import_preview(file).new_contacts == {"ada example": "Ada Example"}
    import_run(file=file, by=owner)
    contact = Contact.objects.get()
    assert (contact.name, contact.is_owner, contact.is_supplier) == ("Ada Example", True, False)
    assert Log.objects.get(tag="A1").owner == contact
    assert Log.objects.get(tag="A2").owner is None


def test_features_dry_wood_and_money_are_read(yard, owner):
    text = (
        "tag,species,thickness,width,length,features,sawn,dry since,mc,price\n"
        'B1,northern red oak,2,14,8,"crotch, some checks",2024-01-05,2025-06-01,8.5,"$1,240.50"\n'
    )
    import_run(file=add(text, "slabs"), by=owner)
    slab = Slab.objects.get()
    assert (slab.has_crotch, slab.has_checks, slab.has_knots) == (True, True, False)
    assert (slab.state, slab.dry_mc_pct, str(slab.price)) == ("dry", 8.5, "1240.50")


def test_dates_are_read_in_the_order_chosen(yard):
    text = LOGS.replace("2025-03-01", "03/04/2025").replace("2025-03-02", "05/04/2025")
    file = add(text)
    arrived = [row["arrived_on"] for row in import_preview(choose(file, dates="mdy")).rows_read]
    assert arrived == [date(2025, 3, 4), date(2025, 5, 4)]
    arrived = [row["arrived_on"] for row in import_preview(choose(file, dates="dmy")).rows_read]
    assert arrived == [date(2025, 4, 3), date(2025, 4, 5)]


def test_the_order_of_dates_is_guessed_from_a_day_over_twelve(yard):
    assert import_choices(add(LOGS.replace("2025-03-01", "31/01/2025"))).dates == "dmy"
    assert import_choices(add(LOGS.replace("2025-03-01", "01/31/2025"))).dates == "mdy"


def test_the_columns_of_an_imported_file_are_remembered_for_the_next(yard, owner):
    text = "Nr;Holz;Zopf;Laenge\nA1;northern red oak;30;4\n"
    file = add(text, metric=True)
    assert problems(file)  # the headings mean nothing yet
    columns = [["Nr", "tag", ""], ["Holz", "species", ""], ["Zopf", "small_end_in", "cm"], ["Laenge", "length_ft", "m"]]
    import_run(file=choose(file, columns=columns), by=owner)
    again = add(text.replace("A1", "A2"), metric=True)
    assert import_choices(again).kept()["columns"] == columns
    assert problems(again) == []


def test_what_stands_for_all_rows_fills_only_empty_cells(yard, owner):
    text = "tag,species,small end,length\nA1,,12,16\nA2,black walnut,12,16\n"
    file = choose(add(text), for_all={"species": "oak-white", "arrived_on": "2025-02-03"})
    import_run(file=file, by=owner)
    assert list(Log.objects.order_by("tag").values_list("species_key", flat=True)) == ["oak-white", "walnut-black"]
    assert {log.arrived_on for log in Log.objects.all()} == {date(2025, 2, 3)}


def test_a_formula_kept_harmless_by_our_export_comes_back_as_it_was(yard, owner):
    text = "tag,species,small end,length,note\nA1,northern red oak,12,16,'=SUM(A1)\n"
    import_run(file=add(text), by=owner)
    assert Log.objects.get().note == "=SUM(A1)"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"tag,species\n", "no rows"),
        (b"PK\x03\x04rest", "workbook"),
        (b"\x00\x01\x02binary", "not plain text"),
        (b'tag,species\nA1,"northern red oak\n', "Row 2"),
    ],
)
def test_a_file_that_is_no_list_says_what_to_do(yard, data, words):
    with pytest.raises(UnreadableFile, match=words):
        add(data)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_usual_encodings_are_read(yard, encoding):
    text = "tag;species;small end;length;where from\nÄ1;northern red oak;12;16;Möller’s field\n"
    file = add(text.encode(encoding))
    assert import_preview(file).rows_read[0]["where_from"] == "Möller’s field"


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_each_mark_between_cells_is_found(yard, mark):
    text = LOGS.replace(',"18 1/2"', ",18.5").replace(",", mark)
    assert add(text).delimiter == mark


def test_no_choices_at_all_says_what_is_missing(yard):
    file = add(LOGS)
    import_choose(file=file, choices=Choices())
    assert {message for _, _, message in problems(file)} == {
        "Tag of the log is missing here.",
        "Species is missing here.",
        "Small end diameter is missing here.",
        "Length is missing here.",
    }
