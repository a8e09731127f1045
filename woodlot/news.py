"""What news is worth beside what was known: one rule for woodpiles, plots measured again, drives and hours.

A woodpile owner wants to know how far his own stacks may move a published table: as far as they are surer than it is,
and no further. A ratio of measured to foretold is news; on logarithms it moves what was known by its gain

    K = S/(S + v),  S: variance of what was known, v: variance of the news,

and (1 - K) S is left. News further off than twice both errors together is not believed: it is told beside.

log_var, cv_of    CV -> variance on logarithms, and back
gain              the share of news that is taken
Known, learn      what is known of a factor; the same after one more piece of news
"""

from dataclasses import dataclass
from math import exp, expm1, log1p, sqrt
from typing import Any

__all__ = ["TWICE", "Known", "cv_of", "gain", "learn", "log_var"]

#: How many times both errors together news may be off.
TWICE = 2.0


def log_var(cv: float) -> float:
    """Variance on logarithms of a relative error."""
    return log1p(cv * cv)


def cv_of(var: float) -> float:
    """Relative error of a variance on logarithms."""
    return sqrt(expm1(var))


def gain(known_var: Any, news_var: Any) -> Any:
    """Share of news that is taken, numbers or arrays.

    >>> round(gain(log_var(0.20), log_var(0.15)), 4)
    0.638
    """
    return known_var / (known_var + news_var)


@dataclass(frozen=True)
class Known:
    """What is known of a factor: its logarithm (0: as published) and the variance of that."""

    var: float
    log: float = 0.0

    @property
    def times(self) -> float:
        """The factor."""
        return exp(self.log)

    @property
    def cv(self) -> float:
        """Its relative error."""
        return cv_of(self.var)

    def believes(self, ratio_log: float, news_var: float) -> bool:
        """Whether news, a ratio on logarithms with its variance, is within twice both errors of what is known."""
        return abs(ratio_log - self.log) <= TWICE * sqrt(self.var + news_var)


def learn(known: Known, ratio_log: float, news_var: float) -> Known:
    """What is known after one more piece of news, whatever the order in which several come.

    >>> first = learn(Known(log_var(0.12) + log_var(0.08)), -0.154151, 0.010092)
    >>> round(first.times, 6), round(first.cv, 5)
    (0.901595, 0.08249)
    """
    share = gain(known.var, news_var)
    return Known(known.var * (1.0 - share), known.log + share * (ratio_log - known.log))
