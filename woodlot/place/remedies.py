"""What a family reads about a cell that cannot be used: what is wrong, what would be right, what was perhaps meant."""

import errno
import re
import tempfile
from datetime import date, datetime, timedelta
from typing import Any

from woodlot.column_kinds import FIRST_DAY, METRIC, NO_SUCH_WORD, UNIT_WORDS
from woodlot.errors import Fault, PlaceError

__all__ = ["NOT_MEASURED", "cell_remedy", "no_room", "short", "unusable"]

_FULL = {errno.ENOSPC, errno.EFBIG, errno.EROFS, getattr(errno, "EDQUOT", errno.ENOSPC)}

_SIGNS = {'"': "in", "''": "in", "'": "ft", "inch": "in", "inches": "in", "feet": "ft", "foot": "ft", "lbs": "lb"}
NOT_MEASURED = {"-", "--", "?", "??", "na", "n/a", "none", "null", "nan", "nil", ".", "nm", "x", "unknown", "#n/a"}
_DAY_FORMS = (
    "%m/%d/%y",
    "%m-%d-%Y",
    "%m-%d-%y",
    "%d.%m.%Y",
    "%d/%m/%Y",
    "%d %b %Y",
    "%d %B %Y",
    "%b %d %Y",
    "%B %d %Y",
)


def short(text: str, most: int = 60) -> str:
    """Text as it may stand on one line of a screen: control signs shown as ?, cut at ``most`` letters."""
    plain = "".join(letter if letter.isprintable() else "?" for letter in text[: most + 1])
    return plain if len(plain) <= most else plain[: most - 3] + "..."


def no_room(error: OSError) -> Fault | None:
    """The fault of a disk without room for passing files; None for every other trouble with a file."""
    if error.errno not in _FULL and "temporary directory" not in str(error):
        return None
    remedy = "Files that are needed for a moment are kept there. Make room, or name another folder in TMPDIR."
    return Fault(tempfile.tempdir or "temporary files", None, "", error.strerror or str(error), remedy)


def unusable(file: str, what: str | OSError, remedy: str, column: str = "", row: int | None = None) -> PlaceError:
    """The error of a file of which nothing can be used; what: what is wrong with it, or what the system says."""
    words = (what.strerror or str(what)) if isinstance(what, OSError) else what
    return PlaceError([Fault(file, row, column, words, remedy)])


def _amount(number: float, unit: str = "") -> str:
    return f"{number:,.6g} {UNIT_WORDS.get(unit, unit)}".rstrip()


def cell_remedy(text: str, error: dict[str, Any], kind: Any, unit: str, metric: dict[str, str] | None = None) -> str:
    """The sentence for a cell: ``error`` as pydantic gives it, kind the bare type, metric the column's twins."""
    name, limits = error["type"], error.get("ctx", {})
    if kind is date:
        return _day_remedy(text, too_early="ge" in limits)
    if name == "greater_than_equal":
        least = float(limits["ge"])
        if least >= 0 and text.lstrip().startswith("-"):
            return f"Cannot be negative. Did you mean {text.lstrip()[1:].strip()}?"
        return f"Smaller than {_amount(least, unit)}."
    if name in ("less_than_equal", "finite_number"):
        return _too_large(text, float(limits.get("le", "inf")), unit)
    if name == NO_SUCH_WORD:
        return str(error["msg"])
    if kind is bool:
        return "Write yes or no."
    if kind in (int, float):
        return _number_remedy(text, kind, unit, metric or {})
    if name == "string_too_long":
        return f"Longer than {limits.get('max_length')} letters."
    if name == "string_too_short":
        return "Empty. Fill it in."
    return str(error.get("msg", "Cannot be read."))


def _too_large(text: str, most: float, unit: str) -> str:
    try:
        number = float(text.rstrip("% "))
    except ValueError:
        number = float("nan")
    if number != number:
        return "Leave the cell empty when it was not measured."
    guess = next((number / by for by in (10.0, 100.0) if number / by <= most), None)
    ask = "" if guess is None or "deg" in unit else f" Did you mean {guess:g}?"
    return f"Larger than {_amount(most, unit)}.{ask}"


def _number_remedy(text: str, kind: Any, unit: str, metric: dict[str, str]) -> str:
    if text.startswith("#"):
        return "The spreadsheet could not work this cell out. Write the number itself."
    if text.strip().lower() in NOT_MEASURED:
        return "Leave the cell empty when it was not measured or counted."
    if re.fullmatch(r"[-+]?\d+,\d{3}(,\d{3})*(\.\d+)?", text):
        return f"Write the number without a comma: {text.replace(',', '')}."
    if re.fullmatch(r"[-+]?\d+,\d+", text):
        return f"Write the number with a point. Did you mean {text.replace(',', '.')}?"
    if re.fullmatch(r"[-+]?\d*\.\d+", text) and kind is int:
        return "A whole number is wanted here."
    if parts := re.fullmatch(r"(\d+)?\s*(\d+)/(\d+)\s*\"?", text):
        whole, above, below = (int(part or 0) for part in parts.groups())
        if 0 < above < below and kind is float:
            return f"Write the part of a whole with a point. Did you mean {whole + above / below:g}?"
    if alone := re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*([a-zA-Z\"'%]+)", text):
        number, sign = alone.group(1).replace(",", "."), alone.group(2).lower()
        sign = _SIGNS.get(sign, sign)
        for twin, measured in metric.items():
            if sign == measured and (measured, unit) in METRIC:
                factor, plus = METRIC[measured, unit]
                turned = float(number) * factor + plus
                return f"Write {turned:.1f} ({UNIT_WORDS.get(unit, unit)}) here, or {number} in a column {twin}."
        return f"Write the number alone: {number}."
    return f"A number is wanted{', in ' + UNIT_WORDS.get(unit, unit) if unit in UNIT_WORDS else ''}."


def _day_remedy(text: str, too_early: bool) -> str:
    if too_early:
        return f"Before {FIRST_DAY.isoformat()}. Is the year right?"
    plain = " ".join(text.replace(",", " ").split())
    for form in _DAY_FORMS:
        try:
            return f"Write the day as year-month-day. Did you mean {datetime.strptime(plain, form).date().isoformat()}?"
        except ValueError:
            continue
    if re.fullmatch(r"[345]\d{4}", text):  # days since 30 December 1899, as a spreadsheet counts them
        counted = date(1899, 12, 30) + timedelta(days=int(text))
        return f"A spreadsheet's count of days. Did you mean {counted.isoformat()}?"
    if re.fullmatch(r"(\d{4})[-/](\d{1,2})[-/](\d{1,2})", text) or re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", text):
        return "There is no such day. Write it as year-month-day, 2026-10-09."
    return "Write the day as year-month-day, 2026-10-09."
