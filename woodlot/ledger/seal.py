"""The seal: a row for every line ever written, kept beside the ledger, so that a line gone, also the last, is noticed.

SEAL       its file
seal_text  rows for lines, with the heading where the file begins
sealed     its text -> frame
seals      whether it holds just these lines
gone       lines that were written and are there no more

The ledger is written first and the seal second: a seal that lacks a line was cut short and is made up at the next note;
a ledger that lacks a line of the seal has lost it. A line that took the place of a lost one, a void too, settles it.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from operator import itemgetter

import numpy as np
import pandas as pd

from woodlot.ledger.lines import HEADING, ID_LONG, by_commas, text_frame

SEAL = "ledger.seal"
SEAL_HEADING = ["id", "check", "line", "date", "kind"]
_FROM = [HEADING.index(name) for name in SEAL_HEADING]


def seal_text(lines: Iterable[Sequence[str]], begin: bool) -> str:
    """Rows of the seal for lines (cells under ``HEADING``), under the heading where the file begins with them."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    if begin:
        rows.writerow(SEAL_HEADING)
    rows.writerows([cells[at] for at in _FROM] for cells in lines)
    return out.getvalue()


def sealed(text: str) -> pd.DataFrame:
    """Rows of the seal as text, one a line, more for a line to which woodlot gave another check. Torn rows are left
    out.
    """
    rows = [row for row in by_commas(text.split("\n")) if len(row) == len(SEAL_HEADING) and len(row[0]) == ID_LONG]
    return text_frame(rows, SEAL_HEADING).drop_duplicates(["id", "check"], ignore_index=True)


def seals(text: str, lines: Iterable[Sequence[str]]) -> bool:
    """Whether a seal holds these lines (cells under ``HEADING``) in their order, each once, and nothing else."""
    return text == "\n".join([",".join(SEAL_HEADING), *map(",".join, map(itemgetter(*_FROM), lines)), ""])


def gone(seal: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """Rows of the seal whose line the ledger (text under ``HEADING``) has no more, and that no line replaces."""
    if _alike(seal, lines):
        return seal.head(0)
    lost = seal[~seal["id"].isin(lines["id"])].drop_duplicates("id")
    replaced = lines["corrects"].dropna().str.split().explode()
    return lost[~lost["id"].isin(replaced)].reset_index(drop=True)


def altered(seal: pd.DataFrame, lines: pd.DataFrame) -> pd.Series:
    """Of each line of the ledger: whether its check is none that was sealed, though it fits its cells."""
    if _alike(seal, lines):
        was, now = (frame["check"].to_numpy(dtype=object) for frame in (seal, lines))
        return pd.Series(was != now, index=lines.index, dtype=bool)
    fits = (lines["id"] + lines["check"]).isin(seal["id"] + seal["check"])
    return lines["id"].isin(seal["id"]) & ~fits


def _alike(seal: pd.DataFrame, lines: pd.DataFrame) -> bool:
    """Whether ledger and seal hold the same lines in the same order, as they do where nothing was lost or brought."""
    return np.array_equal(seal["id"].to_numpy(dtype=object), lines["id"].to_numpy(dtype=object))
