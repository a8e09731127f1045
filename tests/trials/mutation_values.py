"""Odd values of rough handling: cells, values in JSON and TOML, bytes, numbers of corners."""

import math
from typing import Any

# fmt: off
# ruff: noqa: SIM905  (a list of words is easier to read as one text)
#: Cells that a hand, a spreadsheet or another program leaves behind.
CELLS = (
    '', ' ', '\t',
    *"0 -0 1 -1 0.0 1.5 00012 +3 1e3 1e308 1e400 -1e400 5e-324 nan NaN NaT None null inf -inf".split(),
    *"Infinity <NA> #N/A #REF! 1_000 1,000 1.000,5 999999999999999999 9999999999999999999".split(), '9' * 400,
    '9' * 5000,
    *"0.3333333333333333333333333333333333333333 2147483648 -9223372036854775809 0x10 1e . - -- true".split(),
    *"TRUE yes no x y/n 1/2 12'6".split(), '9"', '12 in',
    *"50% % $5 ~10 >5 10-12 2026-10-09 10/9/2026 2026-13-01 2026-02-30 0001-01-01 9999-12-31".split(),
    *"1900-01-01 1899-12-31 2200-01-01 2026-10-09T12:00:00Z 45213".split(), 'Oct 9',
    *"2026 31.12.2026 24:00 =1+1 @x =HYPERLINK(1) '12 '=1".split(), '\u0663', '\xbd', '\u2212 5', '\xa0',
    '\u200b', '\u202e12', '\ufeff1', '\U0001f98c', 'e\u0301', '\x00', '\x07', '\x1b[31m', '\x85', '\u2028',
    'a\nb', 'a\rb', '"', '""', 'a"b', *"a,b a;b".split(), 'sugar maple',
    *"Acer unknown popple douglas-fir".split(), 'pine; oak',
    *"none deer prism fixed void home 1 p0 ../x con".split(), 'x' * 81, 'x' * 21000,
    *"{} [1] %s {0} <b> </script>".split(), '\\', '\\N',
)
#: What a reader of JSON may find where a number or a text should be.
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -0.0, 1, -1, 0.5, 1e308, 1e-320, 10**19, 10**400, math.nan, math.inf, -math.inf,
    [], {}, [1], [[1]], {"a": 1}, [None], "", " ", *CELLS[60:],
)
TOML_VALUES = (
    *"0 -1 1 0.5 1e308 1e400 nan inf -inf 9223372036854775807 9223372036854775808".split(), '9' * 400, '9' * 5000,
    '[' * 3000, *"true false".split(), '""', '" "', '"x"', '"nan"', '"0"', *"[] [1] [[1]]".split(), '["a"]', '{}',
    '{a = 1}',
    *"[{}] 1900-01-01 0001-01-01 9999-12-31 2026-02-30 2026-10-09T12:00:00Z 12:00:00 2026-10-09".split(),
    '"sugar maple"', '"douglas-fir"', '"base"', '"../x"', '"\\u0000"', '"\U0001f98c"', '"\u202e"', '[13, 18, 24]',
    '[nan, 1, 2]', "'''\na\n'''", '...', '', *"1_000 0x1F 3,5".split(), '\u201cx\u201d',
)
SPOTS = (b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\n\n", b"\r\n", b'"', b",", b";", b"\t", b"'", b"=")
SPOTS += (
    b"{",
    b"}",
    b"[",
    b"]",
    b"#",
    b"\x1a",
    b"\x80",
    b"\xe2\x80\xae",
    b"\xed\xa0\x80",
    b"[[[[" * 50,
    b"1e999",
    b"-",
    b"9" * 5000,
)
ODD_NUMBERS = (math.nan, math.inf, -math.inf, 1e308, -1e308, 1e-320, 180, -180, 90, -90, 0, 361, "x", None, True, [],
               10**400)
# fmt: on
