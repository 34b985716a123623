"""What a yard learns from its finished stacks."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.wood.priors import Belief, PosteriorSummary, learned_prior, starting_prior

STARTING = starting_prior("oak-northern-red")


def taught(ln_d_shift=0.0, sd=0.1, prior=STARTING):
    ln_d = Belief(prior.ln_d.mean + ln_d_shift, sd)
    return PosteriorSummary(ln_d, prior.ln_s, prior.emc_offset_pct, prior, 8)


def test_the_starting_spreads_are_those_of_the_science():
    assert [one.sd for one in STARTING.beliefs] == [0.4, 0.5, 10.0, 1.0]


def test_a_quick_stack_makes_the_next_one_expected_quicker_but_not_as_quick():
    after = learned_prior(STARTING, [taught(0.5)])
    assert STARTING.ln_d.mean < after.ln_d.mean < STARTING.ln_d.mean + 0.5
    assert after.ln_d.sd < STARTING.ln_d.sd
    assert "1 finished stack of this yard" in after.basis


def test_one_stack_moves_the_prior_by_what_hand_arithmetic_gives():
    """Half of 0.4² is the yard's, half each stack's own: 0.08 and 0.08. A stack known to 0.1 after 0.4 told with a
    precision of 100 - 6.25 that it lies 50/93.75 off; it counts 1/(0.08 + 1/93.75), so the yard moves by 0.25 and
    the next stack is believed to the root of 1/23.53 + 0.08 = 0.35.
    """
    after = learned_prior(STARTING, [taught(0.5, 0.1)])
    assert after.ln_d.mean - STARTING.ln_d.mean == pytest.approx(0.25, abs=1e-9)
    assert after.ln_d.sd == pytest.approx(0.35, abs=1e-4)


def test_many_like_stacks_bring_the_prior_to_them_and_keep_what_differs_between_stacks():
    after = learned_prior(STARTING, [taught(0.5, 0.05)] * 40)
    assert after.ln_d.mean == pytest.approx(STARTING.ln_d.mean + 0.5, abs=0.05)
    assert after.ln_d.sd == pytest.approx(0.4 * 0.5**0.5, rel=0.05)


def test_a_stack_that_nobody_measured_teaches_nothing():
    unmeasured = PosteriorSummary(STARTING.ln_d, STARTING.ln_s, STARTING.emc_offset_pct, STARTING, 0)
    after = learned_prior(STARTING, [unmeasured])
    assert after.ln_d.mean == pytest.approx(STARTING.ln_d.mean)
    assert after.ln_d.sd == pytest.approx(STARTING.ln_d.sd)


def test_a_stack_counts_by_what_it_taught_beyond_the_prior_it_had():
    """The same finding, reached from another prior, moves the yard the same."""
    shifted = replace(STARTING, ln_d=Belief(STARTING.ln_d.mean + 1.0, 0.4))
    told_sd = 0.1

    def after(prior):
        precision = 1 / prior.ln_d.sd**2 + 1 / told_sd**2
        mean = (prior.ln_d.mean / prior.ln_d.sd**2 + (STARTING.ln_d.mean + 0.3) / told_sd**2) / precision
        return PosteriorSummary(Belief(mean, precision**-0.5), prior.ln_s, prior.emc_offset_pct, prior, 8)

    plain, from_shifted = (learned_prior(STARTING, [after(prior)]) for prior in (STARTING, shifted))
    assert plain.ln_d.mean == pytest.approx(from_shifted.ln_d.mean)


def test_the_next_start_mc_is_not_learnt():
    assert learned_prior(STARTING, [taught(0.5)]).start_mc_pct == STARTING.start_mc_pct


@given(st.lists(st.tuples(st.floats(-2.0, 2.0), st.floats(0.02, 0.6)), max_size=12))
def test_learning_never_makes_surer_than_stacks_differ(findings):
    after = learned_prior(STARTING, [taught(shift, sd) for shift, sd in findings])
    assert np.isfinite(after.ln_d.mean)
    assert 0.4 * 0.5**0.5 - 1e-9 <= after.ln_d.sd <= 0.4 + 1e-9
