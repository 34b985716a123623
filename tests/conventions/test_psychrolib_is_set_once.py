"""psychrolib keeps one unit system for the whole process, so one module alone may touch it."""

import ast
from pathlib import Path

import psychrolib

import yard.wood.humid_air

ROOT = Path(__file__).parents[2]
THE_ONE = ROOT / "yard" / "wood" / "humid_air.py"


def _imports(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""


def test_only_humid_air_imports_psychrolib():
    files = [path for folder in ("yard", "kilns", "sales") for path in (ROOT / folder).rglob("*.py")]
    assert THE_ONE in files
    assert [path for path in files if "psychrolib" in _imports(path)] == [THE_ONE]


def test_psychrolib_counts_in_si_once_humid_air_is_there():
    assert yard.wood.humid_air.pressure_psi(0) > 14
    assert psychrolib.GetUnitSystem() == psychrolib.SI
