"""Ranges trimmed by the other stands of a cover: the mean stays, each end moves by where the others lie.

sides   how far the range of each stand reaches down and up, on logarithms

A family that cuts one stand wants that stand's own number, and a range that holds it as often for an odd stand as for
one like all others. Where the others agree each end comes in, at most to that of a range with one end; where they do
not, the range leans to them.
"""

import numpy as np

from woodlot.region import Region

__all__ = ["sides"]

#: Halvings of the share of the error at one end.
HALVINGS = 40
#: Steps by which the variance between stands is found; it rises to it from below.
STEPS = 60


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
    k = len(y) - 2.0
    middle = y.mean()
    powers = np.column_stack([np.ones(len(y)), y - middle, (y - middle) ** 2])
    between = np.full(len(y), least)

    def sums(part: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        weight = 1.0 / (v[None, :] + between[part, None])
        weight[np.arange(len(part)), part] = 0.0
        return weight @ powers, (weight**2) @ powers

    mu, t2 = np.empty((2, len(y)))
    for part in np.array_split(np.arange(len(y)), len(y) * len(y) // ROOM + 1):
        for _ in range(STEPS):
            one, two = sums(part)
            mean = one[:, 1] / one[:, 0]
            over = one[:, 2] - one[:, 1] * mean - k
            steep = two[:, 2] - 2.0 * mean * two[:, 1] + mean**2 * two[:, 0]
            step = np.maximum(over, 0.0) / np.maximum(steep, TINY)
            between[part] += step
            if (step <= 1e-12 * between[part]).all():
                break
        one, _ = sums(part)
        mu[part], t2[part] = middle + one[:, 1] / one[:, 0], between[part] + 1.0 / one[:, 0]
    return mu, t2


#: Pairs of stands that are looked at at once.
ROOM = 1_000_000
TINY = 1e-300
