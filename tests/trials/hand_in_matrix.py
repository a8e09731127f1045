"""Every hand-in of the matrix, and every verb on it: does each answer, or say in words what it needs?

Run from the top folder:

    python tests/trials/hand_in_matrix.py                     # all of it; a line for each thing wrong, then the sum
    python tests/trials/hand_in_matrix.py shapes "no stands"  # only axes or names that hold one of these words
    python tests/trials/hand_in_matrix.py --part 2/5          # the second of five slices
    python tests/trials/hand_in_matrix.py --few               # of each hand-in walk, plan and a part of the rest

A verb may end well, with numbers that are numbers, or with exit code 1 and words. It may not break, say nothing, or
quote the language it is written in. What ``walk`` can use, every verb can use, or says in a sentence what was not
measured. Nothing is drawn but by a seed.
"""

import json
import re
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from traceback import extract_tb
from typing import Any, NamedTuple
from unittest import mock
from zlib import crc32

from click.testing import CliRunner, Result

sys.path.insert(0, str(Path(__file__).parent))

from hand_in_axes import Case, cases
from hand_ins import DAY

from woodlot import place, season
from woodlot.answers import whole
from woodlot.answers.why import WHAT
from woodlot.cli import main
from woodlot.errors import WoodlotError
from woodlot.map import layers, page
from woodlot.paper import report

#: What no person writes: names of the language, and numbers that are none.
PYTHON = re.compile(
    r"\bNone\b(?! (?:of|is|was|are|were|from|this)\b|\?)|\b[Nn]a[Nn]\b|\bNaT\b|<NA>|\binf\b|Infinity|Traceback|<class"
    r"|(?:Key|Value|Type|Index|Attribute|Zero\w*)Error|list index|out of range|dtype|Timestamp\(|array\(|float64"
    r"|np\.\w|datetime\.|\bobject at 0x|TopologyException|GEOS|Invalid projection|to_crs"
    r"| 00:00:00|pandas|shapely|pydantic"
)
#: Verbs with what else they are asked, on a place that can be read; {stand} and {parcel} are its first ones.
ASKED: tuple[tuple[str, ...], ...] = (
    ("walk",),
    ("cruise", "--within", "10"),
    ("cruise", "--stand", "{stand}"),
    ("scale",),
    ("scale", "--parcel", "{parcel}"),
    ("scale", "--stand", "{stand}"),
    ("fell",),
    ("fell", "--all"),
    ("fell", "--stand", "{stand}"),
    ("grow", "--years", "40"),
    ("grow", "--stand", "{stand}"),
    ("cut",),
    ("cut", "--parcel", "{parcel}"),
    ("cut", "--stand", "{stand}"),
    ("cut", "--more"),
    ("herd", "--all"),
    ("hunt", "--all"),
    ("group",),
    ("what-if",),
    ("plan",),
    *(("why", key) for key in WHAT),
    ("why", "cords", "--stand", "{stand}"),
)
#: Verbs without --json; the ledger's two, which know no day; the last writes, so the place is read again behind it.
PLAIN = (("map",), ("sheet",))
BOOK = ("book", "--winters")
#: Verbs that may say that what they speak of is not there.
MAY_LACK = ("fell", "sheet", "why")
NOTE = ("note", "--kind", "firewood", "--amount", "1", "--date", "2024-02-03")


class Wrong(NamedTuple):
    """One thing wrong: the hand-in, what was asked, what kind of wrong, where or what."""

    case: str
    asked: str
    kind: str
    what: str


@contextmanager
def shared_work() -> Iterator[None]:
    """Verbs asked within share the reading, the seasons and the drawing of one place that does not change."""

    def once(module: Any, name: str, key: Callable[..., Any] = lambda first, *_, **__: id(first)) -> Any:
        real, kept = getattr(module, name), {}

        def shared(*args: Any, **named: Any) -> Any:
            where = key(*args, **named)
            if where not in kept:
                try:
                    kept[where] = (real(*args, **named), None, args)  # args kept alive, so that no id comes twice
                except WoodlotError as error:
                    kept[where] = (None, error, args)
            value, error, _ = kept[where]
            if error is not None:
                raise error.with_traceback(None)
            return value

        return mock.patch.object(module, name, shared)

    def of_season(read: Any, *args: Any, **ahead: Any) -> Any:
        return id(read), args, tuple(sorted(ahead.items()))

    usual = {"years": 10, "step_yr": 1, "cut_more": False, "seed": 1}
    with (
        once(place, "read", lambda folder, **asked: (str(folder), *asked.items())),
        once(season, "season", lambda read, *args, **ahead: of_season(read, *args, **usual | ahead)),
        once(whole, "answers"),
        once(layers, "build"),
        once(page, "html"),
        once(report, "html"),
    ):
        yield


def asks(folder: Path, stand: str, parcel: str) -> Iterator[tuple[str, ...]]:
    """What is asked of a place that can be read, each verb on the screen and as JSON."""
    told = {"{stand}": stand, "{parcel}": parcel}
    for verb, *rest in ASKED:
        words = [told.get(word, word) for word in rest]
        if None in words:
            continue
        what, options = (words[:1], words[1:]) if verb == "why" else ([], words)
        whole_ask = (verb, *what, str(folder), "--as-of", DAY.isoformat(), *options)
        yield whole_ask
        yield (*whole_ask, "--json")
    for verb, *_ in PLAIN:
        yield verb, str(folder), "--as-of", DAY.isoformat()
    yield "bundle", str(folder), "--as-of", DAY.isoformat(), "--to", f"{folder}.zip"


def runs(case: Case, folder: Path, stand: Any, parcel: Any, few: bool = False) -> list[tuple[str, ...]]:
    """What is asked of a hand-in, walk first; few: walk, plan, and one asking in four of the rest, by turns."""
    every = list(asks(folder, stand, parcel))
    if not few:
        return every
    turn = crc32(str(case).encode()) % 4
    plan = [one for one in every if one[0] == "plan"][turn % 2]
    rest = [one for one in every[2:] if one[0] != "plan"]
    return [every[0], plan, *rest[turn::4]]


def judged(done: Result, as_json: bool) -> Iterator[tuple[str, str]]:
    """(kind, what) of each thing wrong with how one verb ended."""
    error = done.exception
    if error is not None and not isinstance(error, SystemExit):
        yield "traceback", where(error)
        return
    if done.exit_code not in (0, 1):
        yield "exit code", f"{done.exit_code} {done.stderr[:160]}"
    if done.exit_code == 1 and not re.search(r"Stopped: \w.{8}", done.stderr):
        yield "no words", repr(done.stderr[:100])
    if as_json and done.exit_code == 0:
        try:
            json.loads(done.stdout, parse_constant=_no_number)
        except ValueError as wrong:
            yield "json", str(wrong)[:100]
    if found := PYTHON.search(done.output):
        start = max(found.start() - 60, 0)
        yield "quotes Python", " ".join(done.output[start : found.end() + 40].split())


def _no_number(token: str) -> None:
    raise ValueError(f"{token} is no number")


def where(error: BaseException) -> str:
    """The error and the last lines of ours it came through."""
    frames = [frame for frame in extract_tb(error.__traceback__) if "/woodlot/" in frame.filename]
    path = " < ".join(f"{frame.filename.split('/woodlot/')[-1]}:{frame.lineno}" for frame in frames[-1:-3:-1])
    return f"{path} {type(error).__name__}: {' '.join(str(error).split())[:110]}"


def written(out: Path) -> Iterator[tuple[str, str]]:
    """(kind, what) of each thing wrong in files a plan wrote."""
    for path in sorted(out.rglob("*")) if out.is_dir() else ():
        if path.suffix not in (".html", ".csv", ".geojson", ".json", ".kml", ".gpx"):
            continue
        text = path.read_text(encoding="utf-8")
        for data in re.findall(r'<script type="application/json"[^>]*>(.*?)</script>', text, re.S):
            try:
                json.loads(data, parse_constant=_no_number)
            except ValueError as wrong:
                yield "json", f"{path.name}: {wrong}"[:100]
        plain = re.sub(r"<(script|style)\b.*?</\1>|<[^>]*>", " ", text, flags=re.S) if path.suffix == ".html" else text
        if found := PYTHON.search(plain):
            yield (
                "quotes Python",
                f"{path.name}: {' '.join(plain[max(found.start() - 60, 0) : found.end() + 40].split())}",
            )


def _mean(asked: tuple[str, ...]) -> str:
    return " ".join(word for word in asked if "/" not in word and word not in ("--as-of", DAY.isoformat()))


def tried(case: Case, folder: Path, few: bool = False) -> list[Wrong]:
    """Everything wrong with how the verbs end on one hand-in; few: walk, plan, and a part of the rest."""
    of = str(case)
    case.make().write(folder)
    wrong: list[Wrong] = []

    def ask(asked: tuple[str, ...]) -> Result:
        done = CliRunner().invoke(main, list(asked))
        wrong.extend(Wrong(of, _mean(asked), *one) for one in judged(done, "--json" in asked))
        return done

    with shared_work(), warnings.catch_warnings():
        warnings.filterwarnings("error", category=RuntimeWarning)
        read_well, stand, parcel = _first_ids(folder)
        wanted_runs = runs(case, folder, stand, parcel, few)
        walk = ask(wanted_runs[0])
        if read_well and walk.exit_code:
            wrong.append(Wrong(of, "walk", "rooms disagree", f"it can be read. {' '.join(walk.stderr.split())[:160]}"))
        if not read_well:  # all verbs stop on the same faults
            wanted_runs = [one for one in wanted_runs if one[0] in ("walk", "plan", "sheet", "why")][:4]
        for run in wanted_runs[1:]:
            done = ask(run)
            if walk.exit_code == 0 and done.exit_code and not (run[0] in MAY_LACK and _one_sentence(done.stderr)):
                wrong.append(Wrong(of, _mean(run), "rooms disagree", " ".join(done.stderr.split())[:160]))
        wrong += [Wrong(of, "out", *one) for one in written(folder / "out")]
        ask((BOOK[0], str(folder), *BOOK[1:]))
        ask((BOOK[0], str(folder), *BOOK[1:], "--json"))
    noted = ask((NOTE[0], str(folder), *NOTE[1:]))
    if noted.exit_code == 0 and read_well:
        again = ask(("walk", str(folder), "--as-of", DAY.isoformat()))
        if again.exit_code:
            wrong.append(Wrong(of, "note, then walk", "rooms disagree", " ".join(again.stderr.split())[:160]))
    return wrong


def _first_ids(folder: Path) -> tuple[bool, Any, Any]:
    """Whether a place can be read, and its first stand and parcel; what breaks here is judged where a verb meets it."""
    try:
        read = place.read(folder, as_of=DAY, region=None)
    except Exception:
        return False, None, None
    stands, parcels = read.stands["stand_id"], read.parcels["parcel_id"]
    return True, stands.iloc[0] if len(stands) else None, parcels.iloc[0] if len(parcels) else None


def _one_sentence(stderr: str) -> bool:
    """Whether what stopped is told in a sentence, and not as rows to mend."""
    return "mending" not in stderr and stderr.count("Stopped: ") == 1


def run(chosen: list[Case], few: bool = False) -> int:
    """Every case, a line for each thing wrong as it is found; the number of hand-ins with something wrong."""
    bad, kinds, began = 0, Counter[str](), time.monotonic()
    with tempfile.TemporaryDirectory() as home:
        for number, case in enumerate(chosen):
            wrong = tried(case, Path(home) / f"n{number}", few)
            bad += bool(wrong)
            for one in dict.fromkeys((w.kind, w.what) for w in wrong):
                verbs = ", ".join(dict.fromkeys(w.asked for w in wrong if (w.kind, w.what) == one))
                print(f"{one[0]} | {one[1]} | {case.axis}: {case.name} ({case.base}) | {verbs[:150]}", flush=True)
                kinds[one[0]] += 1
    told = ", ".join(f"{many} {kind}" for kind, many in kinds.items()) or "nothing wrong"
    print(f"{len(chosen)} hand-ins, {bad} with something wrong: {told} ({time.monotonic() - began:.0f} s)")
    return bad


def wanted(words: list[str]) -> list[Case]:
    """The cases that are asked for."""
    part, parts = 1, 1
    if "--part" in words:
        at = words.index("--part")
        part, parts = (int(number) for number in words[at + 1].split("/"))
        words = words[:at] + words[at + 2 :]
    chosen = [one for one in cases() if not words or any(word in str(one) for word in words)]
    return chosen[part - 1 :: parts]


if __name__ == "__main__":
    words = sys.argv[1:]
    sys.exit(bool(run(wanted([word for word in words if word != "--few"]), "--few" in words)))
