"""A whole yard at once gives what one cohort at a time gives."""

from datetime import date

import numpy as np

from yard.wood.drying import air
from yard.wood.estimate import CohortEstimate, FutureAir, OvenSection
from yard.wood.estimate_many import FEWEST_FOR_WORKERS, estimate_cohorts
from yard.wood.ranges import OutsideRange


def _requests(count):
    steady = FutureAir(np.full((2, 400), 68.0), np.full((2, 400), 12.0))
    return [
        {
            "species": "oak-northern-red", "thickness_in": 1.0, "start_date": date(2025, 4, 1),
            "air": air([60.0] * (20 + n), emc_pct=13.0), "future_air": steady, "members": 128,
            "observations": [OvenSection(date(2025, 4, 1), 70.0 + n)], "seed": n,
        }
        for n in range(count)
    ]  # fmt: skip


def test_workers_give_what_this_process_gives_in_the_same_order():
    requests = _requests(FEWEST_FOR_WORKERS)
    here, shared = estimate_cohorts(requests, workers=1), estimate_cohorts(requests, workers=2)
    assert len(here) == FEWEST_FOR_WORKERS
    assert [one.as_of for one in here] == [one.as_of for one in shared]
    assert np.allclose([one.mean.value for one in here], [one.mean.value for one in shared], atol=1e-3)


def test_a_cohort_that_is_refused_stands_in_the_list_and_stops_no_other():
    requests = _requests(3)
    requests[1]["thickness_in"] = 0.01
    first, refused, last = estimate_cohorts(requests)
    assert isinstance(first, CohortEstimate)
    assert isinstance(last, CohortEstimate)
    assert isinstance(refused, OutsideRange)
