"""Thousands of simulated boards that differ as a prior allows, and the weight that observations give each."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from yard.wood.diffusion import Floats
from yard.wood.priors import Prior

LEAST_EFFECTIVE = 100.0
# members: under this the ensemble is drawn anew round the weighted one (DRYING-START)

FLATTENED_EFFECTIVE = 200.0
# members that must count before the new ones are drawn, or a twentieth of them (our choice)

DIMENSIONS = 4

_PRIMITIVES = ((0, 0, (1,)), (1, 0, (1,)), (2, 1, (1, 3)), (3, 1, (1, 3, 1)))
# degree, coefficients and first direction numbers of the first four dimensions. JOE-KUO-2008, from memory;
# the test compares them with scipy.stats.qmc.Sobol

_BITS = 30


@lru_cache(maxsize=1)
def _directions() -> NDArray[np.uint32]:
    table = np.zeros((DIMENSIONS, _BITS), np.uint32)
    for dimension, (degree, coefficients, first) in enumerate(_PRIMITIVES):
        m = list(first) if degree else [1] * _BITS
        while len(m) < _BITS:
            new = m[-degree] ^ (m[-degree] << degree)
            for k in range(1, degree):
                if (coefficients >> (degree - 1 - k)) & 1:
                    new ^= m[-k] << k
            m.append(new)
        table[dimension] = [m[bit] << (_BITS - 1 - bit) for bit in range(_BITS)]
    return table


@lru_cache(maxsize=4)
def sobol_points(count: int) -> NDArray[np.uint32]:
    """Return the first points of the Sobol sequence, (4, count) whole numbers out of 2**30.

    >>> (sobol_points(4) / 2**30)[:, 1].tolist()
    [0.5, 0.5, 0.5, 0.5]
    """
    directions = _directions()
    number = np.arange(count, dtype=np.uint32)
    gray = number ^ (number >> np.uint32(1))
    points = np.zeros((DIMENSIONS, count), np.uint32)
    for bit in range(max(1, int(count - 1).bit_length())):
        on = ((gray >> np.uint32(bit)) & np.uint32(1)).astype(bool)
        points[:, on] ^= directions[:, bit : bit + 1]
    return points


@lru_cache(maxsize=16)
def normal_points(count: int, seed: int) -> Floats:
    """Return evenly scattered standard normal points, (4, count), the same for the same seed.

    Source: Sobol sequence (JOE-KUO-2008) with a digital shift drawn from the seed.

    >>> points = normal_points(1024, seed=1)
    >>> points.shape, bool(abs(points.mean(axis=1)).max() < 0.02)
    ((4, 1024), True)
    """
    from scipy.special import ndtri  # takes a moment to load: only where needed

    shift = np.random.default_rng(seed).integers(0, 2**_BITS, (DIMENSIONS, 1), dtype=np.uint32)
    unit = ((sobol_points(count) ^ shift) + 0.5) / 2.0**_BITS
    points: Floats = np.asarray(ndtri(unit))
    points.setflags(write=False)
    return points


@dataclass(frozen=True, eq=False)
class Members:
    """The quantities of each member, (4, members): ln D20, ln S, start MC, EMC offset; and log-weights.

    `log_correction` is the log of prior over proposal: 0 for members drawn from the prior itself.
    """

    theta: Floats
    log_correction: Floats

    def __len__(self) -> int:
        return int(self.theta.shape[1])


def draw_prior(prior: Prior, count: int, seed: int) -> Members:
    """Return members drawn from the prior.

    >>> from yard.wood.priors import starting_prior
    >>> round(float(draw_prior(starting_prior("oak-northern-red"), 1024, seed=0).theta[2].mean()))
    80
    """
    means, sds = _columns(prior)
    return Members(means + sds * normal_points(count, seed), np.zeros(count))


def draw_again(prior: Prior, old: Members, log_likelihood: Floats, seed: int, count: int) -> Members:
    """Return `count` members drawn round the weighted old ones, a tenth from the prior, with the correction for it.

    The weights are first flattened until enough members count, so that a few lucky ones do not decide.

    Check: told nothing, the members drawn anew stand for the prior still.

    >>> from yard.wood.priors import starting_prior
    >>> prior = starting_prior("oak-northern-red")
    >>> again = draw_again(prior, draw_prior(prior, 1024, seed=0), np.zeros(1024), seed=1, count=1024)
    >>> round(float(normalised(again.log_correction) @ again.theta[2]))
    80
    """
    theta = old.theta
    weights = _flattened(log_likelihood + old.log_correction)
    mean = (theta * weights).sum(axis=1, keepdims=True)
    spread = theta - mean
    covariance = (spread * weights) @ spread.T
    sds = _columns(prior)[1][:, 0]
    covariance = 1.3 * covariance + np.diag((0.02 * sds) ** 2)
    root = np.linalg.cholesky(covariance)
    points = normal_points(count, seed)
    fresh = mean + root @ points
    tenth = np.random.default_rng(seed).permutation(count)[: count // 10]
    fresh[:, tenth] = (_columns(prior)[0] + _columns(prior)[1] * points)[:, tenth]
    log_prior = _log_prior(prior, fresh)
    whitened = np.linalg.solve(root, fresh - mean)
    log_fit = -0.5 * (whitened**2).sum(axis=0) - np.log(np.diag(root)).sum()
    log_proposal = np.logaddexp(np.log(0.9) + log_fit, np.log(0.1) + log_prior)
    return Members(fresh, log_prior - log_proposal)


def normalised(log_weights: Floats) -> Floats:
    """Return weights that sum to 1 from their logs.

    >>> normalised(np.log(np.array([1.0, 3.0]))).round(12).tolist()
    [0.25, 0.75]
    """
    raw = np.exp(log_weights - log_weights.max())
    return np.asarray(raw / raw.sum())


def effective_size(weights: Floats) -> float:
    """Return how many equally weighted members the weighted ones are worth.

    >>> effective_size(np.array([0.25, 0.25, 0.25, 0.25]))
    4.0
    """
    return float(1.0 / (weights**2).sum())


def resampled(weights: Floats, count: int, seed: int) -> NDArray[np.intp]:
    """Return the numbers of `count` members drawn by their weights (systematic), in mixed order.

    The members are mixed before they are drawn, not only after: points of a Sobol sequence at even distances
    (every second, say) lie on one side of a dimension, and would bias whatever is read off them.

    >>> half = resampled(np.full(4096, 1 / 4096), 2048, seed=1)
    >>> bool(abs(normal_points(4096, 0)[:, half].mean(axis=1)).max() < 0.1)
    True
    """
    random = np.random.default_rng(seed)
    order = random.permutation(len(weights))
    ticks = (np.arange(count) + random.uniform()) / count
    chosen = np.searchsorted(np.cumsum(weights[order]), ticks, side="left")
    return np.asarray(random.permutation(order[np.minimum(chosen, len(weights) - 1)]))


def _columns(prior: Prior) -> tuple[Floats, Floats]:
    means = np.array([[one.mean] for one in prior.beliefs])
    sds = np.array([[one.sd] for one in prior.beliefs])
    return means, sds


def _log_prior(prior: Prior, theta: Floats) -> Floats:
    means, sds = _columns(prior)
    return np.asarray(-0.5 * (((theta - means) / sds) ** 2).sum(axis=0) - np.log(sds).sum())


def _flattened(log_weights: Floats) -> Floats:
    wanted = min(FLATTENED_EFFECTIVE, len(log_weights) / 20)
    low, high = 0.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2
        enough = effective_size(normalised(middle * log_weights)) >= wanted
        low, high = (middle, high) if enough else (low, middle)
    return normalised(low * log_weights)
