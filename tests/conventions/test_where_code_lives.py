"""Logic lives where a reader looks for it: services write, views choose, science stands alone."""

import ast
import re

import pytest

from tests.conventions.files import files, functions, imports, named, program, tree

WRITES = {"save", "create", "bulk_create", "bulk_update", "update_or_create", "get_or_create", "delete"}
CLOCKS = {"date", "datetime", "datetime.date", "datetime.datetime", "time", "timezone"}


def calls(path):
    """Method calls of a file, as (line, receiver's source, method)."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield node.lineno, ast.unparse(node.func.value), node.func.attr


def test_science_imports_no_django_and_no_tables():
    """`yard/wood` and `kilns/physics` can be read, tested and checked by somebody who knows wood, not Django."""
    bad = {
        named(path): sorted(name for name in imports(path) if re.match(r"django|psycopg|yard\.(?!wood)", name))
        for path in program("yard/wood", "kilns/physics")
    }
    assert {name: found for name, found in bad.items() if found} == {}


def test_science_asks_no_clock_and_no_chance_of_its_own():
    """The same inputs give the same figure: today and the seed are given by the caller."""
    asked = [
        f"{named(path)}:{line} {receiver}.{method}"
        for path in program("yard/wood", "kilns/physics")
        for line, receiver, method in calls(path)
        if (method in ("today", "now", "utcnow", "time") and receiver in CLOCKS)
        or (receiver in ("np.random", "numpy.random") and method not in ("default_rng", "Generator", "SeedSequence"))
    ]
    asked += [named(path) for path in program("yard/wood", "kilns/physics") if imports(path) & {"random", "secrets"}]
    assert asked == []


@pytest.mark.parametrize(("app", "later"), [("yard", {"kilns", "sales"}), ("kilns", {"sales"})])
def test_yard_knows_nothing_of_kilns_nor_either_of_selling(app, later):
    """The kiln writes what the yard must know through a yard service; the other way there would be a knot."""
    knowing = [named(path) for path in program(app) if {name.split(".")[0] for name in imports(path)} & later]
    assert knowing == []


def test_nothing_happens_by_signals():
    """A reader follows a change by reading downwards."""
    found = [
        named(path)
        for path in program("yard", "kilns", "sales")
        if any("signals" in name or name.startswith("django.dispatch") for name in imports(path))
    ]
    assert found == []


def test_views_and_forms_write_nothing():
    """Each table has one service module that writes it, within one transaction and with its history."""
    writes = [
        f"{named(path)}:{line} {receiver}.{method}"
        for path in program("yard/views", "yard/forms", "kilns/views", "kilns/forms", "sales/views", "sales/forms")
        for line, receiver, method in calls(path)
        if (method in WRITES or (method == "update" and ".objects" in receiver))
        and not receiver.startswith("request.session")
    ]
    assert writes == []


def test_services_know_nothing_of_requests():
    """A service is called by a view, a command, an import and a phone's queue alike."""
    bad = [
        named(path)
        for path in program("yard/services", "kilns/services", "sales/services")
        if imports(path) & {"django.http", "django.shortcuts", "django.contrib.messages"}
    ]
    assert bad == []


def test_only_commands_print():
    """A library is silent; a file that can be run by itself may print from its `main`."""
    printed = [
        f"{named(path)}:{node.lineno}"
        for path in program("yard", "kilns", "sales")
        if "/commands/" not in named(path)
        for function in functions(path)
        if function.name != "main"
        for node in ast.walk(function)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert printed == []


def test_public_functions_of_science_and_services_say_what_they_do():
    """One sentence at least; science names units, ranges and source too."""
    missing = [
        f"{named(path)}:{node.name}"
        for path in program("yard/wood", "yard/services", "kilns/physics", "kilns/services", "sales/services")
        for node in tree(path).body
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_")
        if not ast.get_docstring(node) and not any(ast.unparse(one) == "overload" for one in node.decorator_list)
    ]
    assert missing == []


def test_views_are_short():
    """Permission, calling a service, choosing a template: about 20 lines; more is logic that lives elsewhere."""
    long = {
        f"{named(path)}:{node.name}": node.end_lineno - node.lineno + 1
        for path in program("yard/views", "kilns/views", "sales/views")
        for node in functions(path)
        if node.end_lineno - node.lineno + 1 > 40
    }
    assert long == {}


def test_no_path_of_one_machine_and_no_registry_stands_in_the_program():
    """What is written down must be true on every machine."""
    folders = "|".join(("work", "root", "opt/slab", "home/[a-z]+"))
    words = re.compile(rf"(?<![\w.])/(?:{folders})/|index-" + r"url|registry\.npm" + r"js|pypi\.o" + "rg")
    found = [
        f"{named(path)}: {match[0]}"
        for path in files(".py", ".html", ".js", ".css", ".md", ".txt", ".toml", ".csv")
        if (match := words.search(path.read_text(encoding="utf-8")))
    ]
    assert found == []


WRITES_A_TABLE = {"fit", "fit_all", "parameter_rows", "main"}
# yard/wood/drying_fit.py: minutes of work whose result is a table; test_drying.py fits three woods of it again


def test_public_functions_of_the_wood_science_carry_a_worked_value():
    """A doctest each: the reader sees what comes out, and it still does."""
    without = [
        f"{named(path)}:{node.name}"
        for path in program("yard/wood")
        for node in tree(path).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        if not any(ast.unparse(one) == "overload" for one in node.decorator_list)
        if not (path.name == "drying_fit.py" and node.name in WRITES_A_TABLE)
        if ">>>" not in (ast.get_docstring(node) or "")
    ]
    assert without == []
