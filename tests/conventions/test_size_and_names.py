"""Files that are read in one go, with names that say what is in them.

Style asks for about 300 lines a file, 30 a function, 120 a template; the limits here leave room for the file that
is better off in one piece.
"""

import re

from tests.conventions.files import ROOT, files, functions, named, program

FILE_LINES, FUNCTION_LINES, TEMPLATE_LINES = 400, 60, 150
NO_NAMES = {"utils", "util", "helpers", "helper", "common", "misc", "tools", "stuff"}


def lines(path):
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_file_is_too_long_to_read():
    long = {named(path): lines(path) for path in files(".py", ".js", ".css") if lines(path) > FILE_LINES}
    assert long == {}, "split by noun"


def test_no_template_is_too_long_to_read():
    long = {named(path): lines(path) for path in files(".html") if lines(path) > TEMPLATE_LINES}
    assert long == {}, "make a partial"


def test_no_function_is_too_long_to_read():
    long = {
        f"{named(path)}:{node.name}": node.end_lineno - node.lineno + 1
        for path in program("yard", "kilns", "sales")
        for node in functions(path)
        if node.end_lineno - node.lineno + 1 > FUNCTION_LINES
    }
    assert long == {}


def test_no_file_is_named_after_nothing():
    """A newcomer finds the right file on the first guess; nobody guesses "utils"."""
    assert [named(path) for path in files(".py", ".js", ".css", ".html") if path.stem.strip("_") in NO_NAMES] == []


def test_names_of_tests_are_sentences():
    """`test_second_weighing_with_the_same_key_is_ignored` tells what broke without opening the file."""
    short = [
        f"{named(path)}:{node.name}"
        for path in program("tests")
        for node in functions(path)
        if node.name.startswith("test_") and node.name.count("_") < 3
    ]
    assert short == []


def test_every_module_says_what_it_is():
    """The first line of a module is its own sentence; a package's empty `__init__.py` needs none."""
    missing = [
        named(path)
        for path in program("yard", "kilns", "sales", "tests")
        if path.read_text(encoding="utf-8").strip() and not re.match(r'("""|#!)', path.read_text(encoding="utf-8"))
    ]
    assert missing == []


def test_requirements_are_pinned():
    """An upgrade is a decision, not an accident."""
    pinned = re.compile(r"[\w.\-]+(\[[\w,]+\])?==[\w.]+(\s*;.*)?")
    loose = []
    for name in ("requirements.txt", "requirements-dev.txt"):
        for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
            text = line.split("#")[0].strip()
            if text and not text.startswith("-r ") and not pinned.fullmatch(text):
                loose.append(text)
    assert loose == []
