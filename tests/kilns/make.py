"""Kilns to test with: `make_kiln()` is the example kiln with its parts, in a bay of its own."""

from itertools import count

from kilns.services.example_build import example_build, example_fields
from kilns.services.kilns import kiln_add

_number = count(1)


def make_kiln(name="", build=None, bay=None, **fields):
    """The example kiln, or another build."""
    chosen = example_fields() | {"name": name or f"Kiln {next(_number)}"} | fields
    return kiln_add(by=None, build=example_build() if build is None else build, bay=bay, **chosen)
