"""Many cohorts at once: the estimates of a whole yard, on all cores."""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Any

from yard.wood.estimate import CohortEstimate, estimate_cohort

FEWEST_FOR_WORKERS = 12
# cohorts: fewer are done sooner here than workers are started (about a second)

BATCH = 4
# cohorts handed to a worker at a time

THREADS_VARIABLE = "OPENBLAS_NUM_THREADS"


def estimate_cohorts(
    requests: Sequence[dict[str, Any]], *, workers: int | None = None
) -> list[CohortEstimate | ValueError]:
    """Return an estimate for each request, in order; a ValueError where one was refused.

    Parameters: `requests` the keyword arguments of `estimate_cohort`, one dictionary a cohort; `workers`
    processes to share them out to, None for one a core, 1 to stay in this process.
    Errors: none of a single cohort stops the others: it stands in the list.

    >>> estimate_cohorts([])
    []
    """
    count = min(os.cpu_count() or 1, len(requests)) if workers is None else workers
    if count <= 1 or len(requests) < FEWEST_FOR_WORKERS:
        return [_one(request) for request in requests]
    # Fresh processes: a copy of this one would share its database connections.
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        with _one_thread_each():
            coming = pool.map(_one, requests, chunksize=BATCH)
        return list(coming)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Keep numpy's own threads out of the workers started meanwhile: they would fight over the cores."""
    before = os.environ.get(THREADS_VARIABLE)
    os.environ[THREADS_VARIABLE] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[THREADS_VARIABLE]
        else:
            os.environ[THREADS_VARIABLE] = before


def _one(request: dict[str, Any]) -> CohortEstimate | ValueError:
    try:
        return estimate_cohort(**request)
    except ValueError as refused:
        return refused
