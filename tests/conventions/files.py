"""The program's own files, for the tests of conventions."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = {"vendor", "migrations", "node_modules", "__pycache__", "var", "staticfiles", "build", "dist"}


@cache
def files(*endings: str) -> tuple[Path, ...]:
    """Every file of the program with one of these endings, tests too; not what was taken over, not migrations."""
    found = (path for path in ROOT.rglob("*") if path.suffix in endings and path.is_file())
    return tuple(sorted(path for path in found if _is_ours(path.relative_to(ROOT))))


def _is_ours(path: Path) -> bool:
    return not any(part in LEFT_OUT or part.startswith(".") for part in path.parts[:-1])


def named(path: Path) -> str:
    """The path as it stands in the program."""
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    """A Python file, parsed."""
    return ast.parse(path.read_text(encoding="utf-8"), named(path))


def program(*folders: str) -> Iterator[Path]:
    """Python files under these folders."""
    for path in files(".py"):
        if named(path).startswith(tuple(f"{folder}/" for folder in folders)):
            yield path


def functions(path: Path) -> Iterator[ast.FunctionDef]:
    """Every function of a file, methods too."""
    for node in ast.walk(tree(path)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


def imports(path: Path) -> set[str]:
    """The modules that a file imports, anywhere in it."""
    found = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {node.module} | {f"{node.module}.{one.name}" for one in node.names}
    return found
