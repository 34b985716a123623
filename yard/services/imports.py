"""Bringing in a person's spreadsheet of logs or slabs: all of it or nothing.

A file is read and kept (`import_file_add`), its columns are chosen (`import_choose`), every row is looked at
(`import_preview`), and then all rows are saved in one transaction (`import_run`). It is the one place beside
`logs.py` and `slabs.py` that adds logs and slabs, many at once and by the same figures.
"""

import uuid
from collections.abc import Iterator, Sequence

from django.db import IntegrityError, transaction
from django.utils import timezone

from yard.models import ImportFile, ImportKind, Log, Person, Slab
from yard.models.base import new_code
from yard.services.bulk_rows import rows_insert
from yard.services.contacts import contacts_add
from yard.services.history import history_add_many
from yard.services.import_columns import Choices, choices_from, choices_guess
from yard.services.import_log_rows import LogRowReader
from yard.services.import_rows import Problem, Reading
from yard.services.import_slab_rows import SlabRowReader
from yard.services.spreadsheets import spreadsheet_headings, spreadsheet_read, spreadsheet_rows
from yard.services.yard_settings import the_yard

ROWS_GUESSED_FROM = 50


class ImportRefused(ValueError):  # noqa: N818 - reads as the sentence it is
    """Nothing was saved; `problems` says what is wrong, row by row, where rows are to blame."""

    def __init__(self, message: str, problems: Sequence[Problem] = ()) -> None:
        self.problems = list(problems)
        super().__init__(message)


def import_file_add(*, kind: str, name: str, data: bytes, by: Person | None, metric: bool) -> ImportFile:
    """Keep a file that is to be imported, with a first guess of its columns.

    Errors: UnreadableFile with a sentence that says what to do.
    """
    sheet = spreadsheet_read(data)
    rows = [cells for _, cells in _first(sheet.text, sheet.delimiter)]
    choices = choices_guess(kind, sheet.headings, rows, metric=metric, delimiter=sheet.delimiter)
    return ImportFile.objects.create(
        kind=ImportKind(kind),
        name=name[:200],
        text=sheet.text,
        delimiter=sheet.delimiter,
        encoding=sheet.encoding,
        rows=sheet.rows,
        header_key=sheet.header_key,
        choices=choices.kept(),
        by=by,
    )


def import_headings(file: ImportFile) -> tuple[str, ...]:
    """The headings of a kept file."""
    return spreadsheet_headings(file.text, file.delimiter)


def import_sample(file: ImportFile, rows: int = 3) -> list[list[str]]:
    """The first rows of a kept file as they stand there."""
    return [cells for _, cells in _first(file.text, file.delimiter)][:rows]


def import_choices(file: ImportFile) -> Choices:
    """What was chosen, or guessed, for a kept file."""
    return choices_from(file.choices, file.kind, import_headings(file))


def import_choose(*, file: ImportFile, choices: Choices) -> None:
    """Keep what the person chose for the columns."""
    file.choices = choices.kept()
    file.save(update_fields=["choices"])


def import_preview(file: ImportFile) -> Reading:
    """Read every row without saving any."""
    choices = import_choices(file)
    if file.kind == ImportKind.LOGS:
        reader: LogRowReader | SlabRowReader = LogRowReader(choices, log_rule=the_yard().log_rule)
    else:
        reader = SlabRowReader(choices)
    return reader.read(spreadsheet_rows(file.text, file.delimiter), import_headings(file))


def import_run(*, file: ImportFile, by: Person | None) -> int:
    """Save every row of a file in one transaction and return how many; the file cannot be imported twice.

    Errors: ImportRefused, and nothing saved, when any row has a problem or the yard changed meanwhile.
    """
    try:
        with transaction.atomic():
            taken = ImportFile.objects.filter(pk=file.pk, imported_at=None, dropped_at=None)
            if not taken.update(imported_at=timezone.now()):
                raise ImportRefused("This file was imported or dropped already.")
            reading = import_preview(file)
            if reading.problems:
                raise ImportRefused("Some rows cannot be read yet; nothing was saved.", reading.problems)
            _save(file, reading, by)
            ImportFile.objects.filter(pk=file.pk).update(text="")
    except IntegrityError as error:
        raise ImportRefused(
            "Somebody added wood with the same tag at this very moment; nothing was saved. Look at the rows again."
        ) from error
    file.refresh_from_db()
    return len(reading.rows_read)


def import_drop(*, file: ImportFile) -> None:
    """Put a file aside that is not to be imported after all; its text is forgotten."""
    ImportFile.objects.filter(pk=file.pk, imported_at=None).update(dropped_at=timezone.now(), text="")


def _first(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    return [pair for pair, _ in zip(spreadsheet_rows(text, delimiter), range(ROWS_GUESSED_FROM), strict=False)]


def _save(file: ImportFile, reading: Reading, by: Person | None) -> None:
    """Add the contacts that are missing, then the logs or slabs with their history."""
    model = Log if file.kind == ImportKind.LOGS else Slab
    people = [(name, reading.contact_roles[low]) for low, name in reading.new_contacts.items()]
    note = f"from {file.name}"
    added = {contact.name.lower(): contact.pk for contact in contacts_add(by=by, people=people, note=note)}
    codes = _codes(model)
    for row in reading.rows_read:
        for column in ("owner_id", "supplier_id"):
            if isinstance(row.get(column), str):
                row[column] = added[row[column]]
        row["code"] = next(codes)
        if model is Slab:
            row["client_key"] = uuid.uuid4()
    # all rows of one import have the same moment, so that their ids are found again
    moment = timezone.now()
    rows_insert(model, reading.rows_read, created_at=moment, updated_at=moment)
    saved = model.objects.filter(created_at=moment).values_list("pk", "tag")
    history_add_many(model, saved, by=by, action="added", note=note)


def _codes(model: type[Log] | type[Slab]) -> Iterator[str]:
    """Short codes that no other has: among tens of thousands chance alone doubles some."""
    taken = set(model.objects.values_list("code", flat=True))
    while True:
        code = new_code()
        if code not in taken:
            taken.add(code)
            yield code
