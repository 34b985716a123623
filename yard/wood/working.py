"""Show the working: any figure opened to its formula, inputs, source and provenance.

`work_out` calls the very function whose figure it explains, so what a page shows cannot drift from what
was computed. The workings of each part of the science sit in files of their own beside this one:
`working_measures.py` for footage, logs and stacks.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from yard.wood.sources import source


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a working: what it is in plain words, its value and its unit."""

    name: str
    value: Any
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Working:
    """A figure with everything a reader needs to check it by hand."""

    title: str
    formula: str
    inputs: tuple[Input, ...]
    result: float
    unit: str
    source_key: str
    source: str
    provenance: str
    function: str
    notes: tuple[str, ...] = ()


def work_out(
    title: str,
    formula: str,
    function: Callable[..., float],
    arguments: Mapping[str, tuple[Any, str, str]],
    unit: str,
    source_key: str,
    provenance: str | None = None,
    notes: tuple[str, ...] = (),
) -> Working:
    """Call `function` and return the Working of its figure.

    Parameters: `arguments` maps each argument's name to (value, plain words, unit); `unit` is the
    result's; `source_key` is a row of data/sources.csv; `provenance` overrides that row's where the
    very fact used has another (a table row from memory in a book otherwise read).
    Errors: whatever `function` raises; KeyError for a source that is not in the table.

    >>> w = work_out("Ends", "a + b", lambda a, b: a + b, {"a": (1.0, "one", "in"), "b": (2.0, "two", "in")},
    ...              "in", "MATH")
    >>> w.result, w.inputs[1].name, w.provenance
    (3.0, 'two', 'common knowledge')
    """
    publication = source(source_key)
    result = function(**{name: value for name, (value, _, _) in arguments.items()})
    return Working(
        title=title,
        formula=formula,
        inputs=tuple(Input(words, value, unit_) for value, words, unit_ in arguments.values()),
        result=result,
        unit=unit,
        source_key=source_key,
        source=publication.text,
        provenance=provenance or publication.provenance,
        function=f"{function.__module__}.{function.__qualname__}",
        notes=notes,
    )
