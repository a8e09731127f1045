"""Ranges trimmed by the other stands of a cover: the mean stays, each end moves by where the others lie.

sides   how far the range of each stand reaches down and up, on logarithms

A family that cuts one stand wants that stand's own number, and a range that holds it as often for an odd stand as for
one like all others. Where the others agree each end comes in, at most to that of a range with one end; where they do
not, the range leans to them.
"""

from collections.abc import Callable

import numpy as np

from woodlot.region import Region

__all__ = ["sides"]

#: Halvings of the share of the error at one end.
HALVINGS = 40
#: Most steps by which the variance between stands is found, and how near is near enough.
STEPS, CLOSE = 60, 1e-10
#: Pairs of stands that are looked at at once.
ROOM = 1_000_000
#: Keeps a share of nothing from being one over nothing.
TINY = 1e-300


def sides(
    log_mean: np.ndarray, log_sd: np.ndarray, df: np.ndarray, n: np.ndarray, level: float, *, region: Region
) -> np.ndarray:
    """How far ranges of stands of one kind reach down and up, on logarithms, and the logarithm of what their like hold.

    Parameters
    ----------
    log_mean, log_sd, df
        Logarithm of the mean of each stand, its standard error (``spread.log_sd``) and degrees of freedom.
    n
        Samples in each: a range is trimmed from two up, and by two other stands or more.
    level
        Share of times the range should hold the truth.
    region
        Whose figures are used.

    Returns
    -------
    Array (3, stands), missing where the others say nothing.

    Notes
    -----
    With T the variance between the others by Paule and Mandel (not under .0225), mu their weighted mean and t2 = T +
    1/sum of weights, the share w of the error at the low end solves z(a w) - z(a (1 - w)) = -2 s (th - mu)/t2, where a
    is 1 - level and w lies within .02 and .98; the high end is th = y - s q(a (1 - w(th))), the low end th = y - s q(1
    - a w(th)), z normal and q Student's.

    Source: Yu and Hoff 2018, Biometrika 105:319 (its abstract; the formula from memory, tried in sampling_trials).
    """
    from scipy.special import ndtri, stdtrit

    out = np.full((3, len(log_mean)), np.nan)
    at = np.flatnonzero(n >= 2)
    if len(log_mean) < 3 or not len(at):
        return out
    mu, t2 = _others(log_mean, log_sd**2, region.figure("defaults_sampling", "least_between_var"))
    y, s, df, mu, t2 = log_mean[at], log_sd[at], df[at], mu[at], t2[at]
    alpha, least = 1.0 - level, region.figure("defaults_sampling", "least_end_share")

    def lies(w: np.ndarray) -> np.ndarray:
        return mu - t2 / (2.0 * s) * (ndtri(alpha * w) - ndtri(alpha * (1.0 - w)))

    for end, share in enumerate((lambda w: 1.0 - alpha * w, lambda w: alpha * (1.0 - w))):
        low, high = np.full(len(at), least), np.full(len(at), 1.0 - least)
        for _ in range(HALVINGS):
            w = (low + high) / 2.0
            above = lies(w) > y - s * stdtrit(df, share(w))
            low, high = np.where(above, w, low), np.where(above, high, w)
        out[end, at] = np.abs(s * stdtrit(df, share((low + high) / 2.0)))
    out[2, at] = mu
    return out


def _others(y: np.ndarray, v: np.ndarray, least: float) -> tuple[np.ndarray, np.ndarray]:
    """Weighted mean of the others of each stand, and the variance of a stand about it."""
    middle = y.mean()
    powers = np.column_stack([np.ones(len(y)), y - middle, (y - middle) ** 2])
    every = _between(
        np.full(1, least), lambda between: _sums(1.0 / (v + between[:, None]), powers), len(y) - 1.0, least
    )
    mu, t2 = np.empty((2, len(y)))
    for part in np.array_split(np.arange(len(y)), len(y) * len(y) // ROOM + 1):

        def sums(between: np.ndarray, part: np.ndarray = part) -> tuple[np.ndarray, np.ndarray]:
            weight = 1.0 / (v + between[:, None])
            weight[np.arange(len(part)), part] = 0.0
            return _sums(weight, powers)

        between = _between(np.repeat(every, len(part)), sums, len(y) - 2.0, least)
        one, _ = sums(between)
        mu[part], t2[part] = middle + one[:, 1] / one[:, 0], between + 1.0 / one[:, 0]
    return mu, t2


def _sums(weight: np.ndarray, powers: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sums of weights, and of their squares, times each power of the stands."""
    return weight @ powers, weight**2 @ powers


def _between(
    start: np.ndarray, sums: Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]], df: float, least: float
) -> np.ndarray:
    """The variance between stands at which their weighted squares about their mean are ``df``, not under ``least``.

    The squares fall with it along a hollow curve, so that Newton's steps come to it from below after the first.
    """
    between = start
    for _ in range(STEPS):
        one, two = sums(between)
        mean = one[:, 1] / one[:, 0]
        over = one[:, 2] - one[:, 1] * mean - df
        steep = two[:, 2] - 2.0 * mean * two[:, 1] + mean**2 * two[:, 0]
        then = np.maximum(between + over / np.maximum(steep, TINY), least)
        near = (np.abs(then - between) <= CLOSE * then).all()
        between = then
        if near:
            break
    return between
