"""Names that are written from right to left, in pages that are written from left to right.

isolated(html)     a page whose words cannot turn our sentences around
escaped(text)      JSON in a page, with all letters that matter for it as escapes

A name may hold Hebrew or Arabic letters, or marks that turn the direction of what follows. On a page each run of such
letters stands for itself (U+2068 and U+2069 around it) and the marks are left out; in the files names stay as they are.
What scripts write goes through ``words.js``, which does the same.
"""

import re

__all__ = ["escaped", "isolated"]

#: Marks that turn the direction of the words around them.
MARKS = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
#: Letters that are written from right to left.
LETTERS = "\u0590-\u061b\u061d-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
#: Half of a pair of UTF-16, which no file can hold.
_HALF = re.compile("[\ud800-\udfff]")
_MARKS = re.compile(f"[{MARKS}]")
_RUN = re.compile(f"[{LETTERS}](?:[{LETTERS}\\s!-;?@]*[{LETTERS}])?")
_TURNING = re.compile(f"[{MARKS}{LETTERS}]")
_WORDS = re.compile(">[^<]+<")


def isolated(html: str) -> str:
    """The page with every run of letters from right to left by itself, without marks that turn the direction; a half
    letter, which cannot be written, is shown as one that is not known.
    """
    html = _HALF.sub("\ufffd", html)
    return _WORDS.sub(_by_itself, html) if _TURNING.search(html) else html


def _by_itself(words: re.Match[str]) -> str:
    text = words.group()
    return _RUN.sub("\u2068\\g<0>\u2069", _MARKS.sub("", text)) if _TURNING.search(text) else text


def escaped(text: str) -> str:
    """JSON in which letters and marks from right to left stand as escapes: the data of a page stays as it is."""
    return _TURNING.sub(_escape, text)


def _escape(letter: re.Match[str]) -> str:
    pair = letter.group().encode("utf-16-be")
    return "".join(f"\\u{pair[at]:02x}{pair[at + 1]:02x}" for at in range(0, len(pair), 2))
