"""From the bytes of an upload to lines of text: gzip, zip, byte-order marks, encodings, size limits."""

import csv
import gzip
import io
import zipfile
import zlib
from collections.abc import Iterator
from itertools import islice

from yard.wood.weather.weather_file import CannotReadWeather

LARGEST_BYTES = 100_000_000
# unpacked; a ten-year file of the largest format stays below it (our own limit against zip bombs)


def unpacked(content: bytes) -> bytes:
    """Return the bytes inside a gzip or one-file zip; other bytes as they are.

    Errors: CannotReadWeather for a damaged or encrypted archive, one with several files, one too large.

    >>> unpacked(gzip.compress(b"2016 01 01"))
    b'2016 01 01'
    """
    if content[:2] == b"\x1f\x8b":
        return _gunzip(content)
    if content[:4] == b"PK\x03\x04":
        return _unzip(content)
    if len(content) > LARGEST_BYTES:
        raise CannotReadWeather(_too_large())
    return content


def _too_large() -> str:
    return f"The file is larger than {LARGEST_BYTES // 1_000_000} MB unpacked; split it by year."


def _gunzip(content: bytes) -> bytes:
    try:
        with gzip.open(io.BytesIO(content)) as packed:
            plain = packed.read(LARGEST_BYTES + 1)
    except (OSError, EOFError, zlib.error):
        raise CannotReadWeather("The gzip file is damaged or was cut off; download it again.") from None
    if len(plain) > LARGEST_BYTES:
        raise CannotReadWeather(_too_large())
    return plain


def _unzip(content: bytes) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = [one for one in archive.infolist() if not one.is_dir() and _is_weather_name(one.filename)]
            if len(names) != 1:
                raise CannotReadWeather(
                    f"The zip file holds {len(names)} files that could be weather; unpack it and give one."
                )
            with archive.open(names[0]) as packed:
                plain = packed.read(LARGEST_BYTES + 1)
    except (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError, OSError):
        raise CannotReadWeather("The zip file is damaged or encrypted.") from None
    except (ValueError, LookupError, UnicodeError) as error:
        if isinstance(error, CannotReadWeather):
            raise
        raise CannotReadWeather("The zip file is damaged.") from None
    if len(plain) > LARGEST_BYTES:
        raise CannotReadWeather(_too_large())
    return plain


def _is_weather_name(name: str) -> bool:
    # An EPW comes zipped with its .ddy, .stat and other companions: the .epw is the one that is wanted.
    companions = (".ddy", ".stat", ".clm", ".wea", ".pvsyst", ".rain", ".pdf", ".md", ".html")
    return not name.lower().endswith(companions) and "__MACOSX" not in name


def text_of(content: bytes) -> tuple[str, tuple[str, ...]]:
    """Return the text of a (perhaps packed) weather file, and warnings about its encoding.

    Errors: CannotReadWeather when the file is empty or is not text.

    >>> text_of(b"\\xef\\xbb\\xbfLOCATION")
    ('LOCATION', ())
    """
    plain = unpacked(content)
    warnings: tuple[str, ...] = ()
    try:
        wide = plain[:2] in (b"\xff\xfe", b"\xfe\xff")
        text = plain.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text = plain.decode("latin-1")
        warnings = ("The file is not UTF-8; it was read as Latin-1, so accented letters may be wrong.",)
    if not text.strip():
        raise CannotReadWeather("The file is empty.")
    if "\x00" in text:
        raise CannotReadWeather("This is not a text file, so it is none of the weather formats known here.")
    return text, warnings


def csv_rows(text: str, delimiter: str = ",") -> Iterator[tuple[int, list[str]]]:
    """Yield (line number, cells) of comma-separated text, blank lines left out.

    Errors: CannotReadWeather with the line number where the text cannot be split into cells.

    >>> list(csv_rows('a,"b,c"\\r\\n\\r\\nd'))
    [(1, ['a', 'b,c']), (3, ['d'])]
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        raise CannotReadWeather(f"Line {reader.line_num} cannot be split into cells: {error}.") from None


def csv_parts(text: str, delimiter: str, rows: int) -> Iterator[tuple[list[int], list[list[str]]]]:
    """Yield the same in parts of so many rows, as line numbers and cells apart; quickly where nothing is quoted.

    Errors: as `csv_rows`.

    >>> list(csv_parts("a,b\\n\\nc,d\\n", ",", 10))
    [([1, 3], [['a', 'b'], ['c', 'd']])]
    """
    if '"' in text:
        lines = csv_rows(text, delimiter)
        while some := list(islice(lines, rows)):
            yield [number for number, _ in some], [cells for _, cells in some]
        return
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    first = 1
    try:
        while found := list(islice(reader, rows)):
            numbers = list(range(first, first + len(found)))
            first += len(found)
            if not all(found):
                numbers = [number for number, cells in zip(numbers, found, strict=True) if cells]
                found = [cells for cells in found if cells]
            if found:
                yield numbers, found
    except csv.Error as error:
        raise CannotReadWeather(f"Line {reader.line_num} cannot be split into cells: {error}.") from None
