"""The scattered members: evenly, repeatably, and drawn anew without changing what the observations say."""

import numpy as np
import pytest
from scipy.stats import qmc

from yard.wood.ensemble import (
    DIMENSIONS,
    draw_again,
    draw_prior,
    effective_size,
    normal_points,
    normalised,
    resampled,
    sobol_points,
)
from yard.wood.priors import starting_prior

PRIOR = starting_prior("oak-northern-red")


def test_the_sobol_points_are_those_of_scipy():
    theirs = qmc.Sobol(DIMENSIONS, scramble=False, bits=30).random(4096)
    assert (theirs == sobol_points(4096).T / 2**30).all()


def test_points_are_normal_repeatable_and_differ_by_seed():
    points = normal_points(4096, 3)
    assert (points == normal_points(4096, 3)).all()
    assert not (points == normal_points(4096, 4)).any()
    assert np.abs(points.mean(axis=1)).max() < 0.01
    assert np.abs(points.std(axis=1) - 1).max() < 0.01
    assert np.abs(np.corrcoef(points) - np.eye(DIMENSIONS)).max() < 0.02


def test_each_block_of_members_covers_the_prior_by_itself():
    """Blocks of members share a weather, so a block must not stand for one corner of the prior."""
    blocks = normal_points(4096, 0).reshape(DIMENSIONS, 32, 128)
    assert np.abs(blocks.mean(axis=2)).max() < 0.15
    assert np.abs(blocks.std(axis=2) - 1).max() < 0.15


def test_members_drawn_anew_give_the_same_answer_as_exact_arithmetic():
    """A normal prior and a sharp normal likelihood in ln D have a posterior that can be written down."""
    members = draw_prior(PRIOR, 4096, 0)
    told, sd = PRIOR.ln_d.mean + 1.0, 0.02

    def log_likelihood(members):
        return -0.5 * ((members.theta[0] - told) / sd) ** 2

    for seed in range(1, 4):
        members = draw_again(PRIOR, members, log_likelihood(members), seed, 4096)
    weights = normalised(log_likelihood(members) + members.log_correction)
    precision = 1 / PRIOR.ln_d.sd**2 + 1 / sd**2
    exact = (PRIOR.ln_d.mean / PRIOR.ln_d.sd**2 + told / sd**2) / precision
    assert effective_size(weights) > 300
    assert weights @ members.theta[0] == pytest.approx(exact, abs=0.003)
    spread = np.sqrt(weights @ (members.theta[0] - exact) ** 2)
    assert spread == pytest.approx(precision**-0.5, rel=0.1)
    start = weights @ members.theta[2]
    assert start == pytest.approx(80.0, abs=1.0)
    assert np.sqrt(weights @ (members.theta[2] - start) ** 2) == pytest.approx(10.0, rel=0.1)


def test_the_correction_of_members_drawn_anew_is_prior_over_proposal():
    """Its mean over the proposal is 1, whatever the likelihood was."""
    members = draw_prior(PRIOR, 4096, 0)
    for told in (np.zeros(4096), -0.5 * ((members.theta[2] - 80.0) / 5.0) ** 2):
        correction = draw_again(PRIOR, members, told, 1, 4096).log_correction
        assert np.exp(correction).mean() == pytest.approx(1.0, abs=0.05)


def test_drawing_by_weight_takes_each_member_as_often_as_it_weighs():
    weights = normalised(np.linspace(-3.0, 0.0, 200))
    counts = np.bincount(resampled(weights, 10_000, 1), minlength=200)
    assert np.abs(counts - 10_000 * weights).max() <= 1.0


def test_half_of_equally_likely_members_is_spread_like_all_of_them_in_every_quantity():
    """Every second Sobol point lies on one side of a dimension; drawing them so biased all that was to come."""
    members = draw_prior(PRIOR, 4096, 0)
    half = members.theta[:, resampled(normalised(np.zeros(4096)), 2048, 0)]
    spread = members.theta.std(axis=1)
    # Chance moves a mean of 2,048 out of 4,096 by 0.016 of its spread: four times that.
    assert (np.abs(half.mean(axis=1) - members.theta.mean(axis=1)) < 0.064 * spread).all()
    assert half.std(axis=1) == pytest.approx(spread, rel=0.07)
