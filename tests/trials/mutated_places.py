"""Places after rough handling: is each read or refused in words, by every verb, and left as it was?

Run from the top folder:

    python tests/trials/mutated_places.py                            # 20,000 places read, 400 through every verb
    python tests/trials/mutated_places.py --reads 700 --verbs 7      # fewer
    python tests/trials/mutated_places.py --level cell --seed 5000   # one level; seeds from 5000 on
    python tests/trials/mutated_places.py --replay cell 5017         # one place again, every verb, the whole traceback
    python tests/trials/mutated_places.py --keep cell 5017 NAME      # into tests/data/mutated, as small as it fails

A place is a small sample changed by ``mutations.mutated(level, seed)``. What counts as wrong: an exception that is not
one of ours, more than 20 seconds, a number in JSON that is none, a hand-in that is no longer the same bytes (``note``
may only add to the ledger), an end without words.
"""

import argparse
import faulthandler
import json
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter, defaultdict
from collections.abc import Callable, Container, Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parent))

from click.testing import CliRunner
from hand_in_matrix import judged, shared_work, where
from hand_ins import DAY
from mutations import LEVELS, Files, mutated

from woodlot import place
from woodlot.cli import VERBS, main
from woodlot.errors import InputError, PlaceError

__all__ = ["MOST_S", "Wrong", "asked_of", "reads", "run", "smallest", "verbs"]

#: A place may take this long, whatever it holds.
MOST_S = 20
KEPT = Path(__file__).parent.parent / "data" / "mutated"
os.environ["WOODLOT_TRACEBACK"] = "1"
os.environ["COLUMNS"] = "80"


class Wrong(NamedTuple):
    """One thing wrong: traceback, hang, json, changed, no words or exit code; where or what; by which verb."""

    kind: str
    what: str
    asked: str = "read"


class Hang(BaseException):
    """Too long; no handler for errors may swallow it."""


class Enough(BaseException):
    """Ctrl-C, or a polite end from outside."""


@contextmanager
def at_most(seconds: int) -> Iterator[None]:
    """Raise Hang after so many seconds of work, or ten times as many by the clock, whatever else the machine does; end
    the process with all its stacks where even that is not heard.
    """

    def ring(*_: object) -> None:
        raise Hang(f"over {seconds} s")

    before = {name: signal.signal(name, ring) for name in (signal.SIGPROF, signal.SIGALRM)}
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.alarm(10 * seconds)
    faulthandler.dump_traceback_later(20 * seconds, exit=True)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.alarm(0)
        faulthandler.cancel_dump_traceback_later()
        for name, there in before.items():
            signal.signal(name, there)


def put(files: Files, folder: Path) -> Path:
    """Write files into a folder in place of what was there."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, data in files.items():
        (folder / name).write_bytes(data)
    return folder


def prints(folder: Path) -> dict[str, str]:
    """A print of every hand-in; what woodlot makes lies in out and plans."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    names = {path: path.relative_to(folder) for path in files}
    return {
        str(name): sha256(path.read_bytes()).hexdigest()
        for path, name in names.items()
        if name.parts[0] not in ("out", "plans")
    }


def reads(folder: Path) -> tuple[bool, list[Wrong]]:
    """Whether a place can be read, and what is wrong with how it is read or refused."""
    before = prints(folder)
    good, wrong = False, []
    try:
        with at_most(MOST_S), warnings.catch_warnings():
            warnings.filterwarnings("error", category=RuntimeWarning, module=r"woodlot")
            place.read(folder, as_of=DAY)
        good = True
    except PlaceError as error:
        if not error.faults or not all(one.file and one.remedy for one in error.faults):
            wrong.append(Wrong("no words", str(error)[:100]))
    except InputError as error:
        wrong += [] if str(error) else [Wrong("no words", "an InputError")]
    except Hang:
        wrong.append(Wrong("hang", f"over {MOST_S} s"))
    except Exception as error:
        wrong.append(Wrong("traceback", where(error)))
    if prints(folder) != before:
        wrong.append(Wrong("changed", "by reading"))
    return good, wrong


#: What each verb is asked in a place's folder; JSON where it has it.
ASKED: dict[str, tuple[tuple[str, ...], ...]] = {
    "walk": (("--json",), ()),
    "mend": (("--within", "15", "--dry-run", "--json"),),
    "cruise": (("--json",),),
    "scale": (("--json",),),
    "grow": (("--json",),),
    "cut": (("--json",),),
    "fell": (("--all", "--json"),),
    "herd": (("--json",),),
    "hunt": (("--json",),),
    "group": (("--json",),),
    "what-if": (("--json",),),
    "plan": (("--json",),),
    "sheet": ((),),
    "map": ((),),
    "book": (("--json",),),
    "why": (),
    "bundle": (),
    "bring": (),
    "note": (),
    "start": (),
}
WHY = ("cords", "cut", "does", "cover", "builds")


def asked_of(folder: Path) -> Iterator[tuple[str, ...]]:
    """Every verb as it is asked of a place; those that write hand-ins come last."""
    day = ("--as-of", DAY.isoformat())
    for verb, forms in ASKED.items():
        dated = () if verb in ("mend", "book") else day
        yield from ((verb, str(folder), *dated, *form) for form in forms)
    yield from (("why", what, str(folder), *day) for what in WHY)
    files = sorted(str(path) for path in folder.iterdir() if path.is_file())
    yield ("bundle", str(folder), *day, "--to", str(folder.parent / "bundle.zip"))
    yield ("bundle", "--check", str(folder.parent / "bundle.zip"))
    yield ("bring", str(folder.parent / "brought"), *files, "--yes")
    yield ("bring", str(folder), "--yes")
    yield ("note", str(folder), "--kind", "firewood", "--amount", "1", "--date", "2024-02-03")
    yield ("start", str(folder))
    yield ("mend", str(folder), "--within", "15")


#: What a verb may do to the hand-ins: files that it may add or write on.
_MAY = {
    "note": ("ledger.csv", "ledger.seal", "ledger.before.csv"),
    "start": ("place.toml", "columns.txt"),
    "bring": None,  # it adds rows; what lay there is looked at by its own tests
    "mend": ("parcels.geojson", "stands.geojson", "parcels.before.geojson", "stands.before.geojson"),
}


def verbs(folder: Path, only: Container[str] = tuple(VERBS)) -> list[Wrong]:
    """What is wrong with how every verb, or only some, end on a place."""
    wrong: list[Wrong] = []
    shutil.rmtree(folder.parent / "brought", ignore_errors=True)
    (folder.parent / "bundle.zip").unlink(missing_ok=True)
    with shared_work():
        for asked in asked_of(folder):
            if asked[0] not in only:
                continue
            verb, before = asked[0], prints(folder)
            ledger = (folder / "ledger.csv").read_bytes() if (folder / "ledger.csv").is_file() else b""
            try:
                with at_most(MOST_S):
                    done = CliRunner().invoke(main, list(asked))
            except Hang:
                wrong.append(Wrong("hang", f"over {MOST_S} s", verb))
                continue
            found = [one for one in judged(done, "--json" in asked) if one[0] != "quotes Python"]
            wrong += [Wrong(kind, what, verb) for kind, what in found]
            wrong += [Wrong("changed", what, verb) for what in _changed(verb, before, folder, ledger)]
    return wrong


def _changed(verb: str, before: dict[str, str], folder: Path, ledger: bytes) -> list[str]:
    """Hand-ins that a verb should have left as they were."""
    after = prints(folder)
    odd = {name for name in {*before, *after} if before.get(name) != after.get(name) and ".lock" not in name}
    if verb == "note" and ledger:
        kept = [folder / name for name in ("ledger.csv", "ledger.before.csv")]
        if not any(one.is_file() and one.read_bytes().startswith(ledger) for one in kept):
            return ["ledger.csv"]
    if verb in _MAY:
        odd = set() if _MAY[verb] is None else odd - set(_MAY[verb] or ())
    return sorted(odd)


# -- a run --------------------------------------------------------------------------------------------------------


def run(
    levels: list[str], read_count: int, verb_count: int, seed: int, say: Callable[[str], None] | None = None
) -> int:
    """So many places read and so many of them through every verb, level by turns; the number of distinct failures.

    Ctrl-C ends it early, with the table of what was done till then.
    """
    say = say or (lambda words: print(words, flush=True))
    found: dict[tuple[str, str], dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    counts = {level: Counter[str]() for level in levels}
    with tempfile.TemporaryDirectory() as home, suppress(Enough):
        for number in range(read_count):
            level, own_seed = levels[number % len(levels)], seed + number // len(levels)
            count, began = counts[level], time.process_time()
            folder = put(mutated(level, own_seed)[1], Path(home) / "place")
            good, wrong = reads(folder)
            count.update(("places", "read" if good else "refused"))
            if number < verb_count:
                count["verbs"] += 1
                wrong += verbs(folder)
            count.update({one.kind for one in wrong})
            count["s"] += time.process_time() - began
            for one in wrong:
                if one[:2] not in found:
                    say(f"  {level} {own_seed} | {one.kind} | {one.what} | {one.asked}")
                found[one[:2]][f"{level} {own_seed}"].add(one.asked)
    heads = ("places", "read", "refused", "verbs", "traceback", "hang", "json", "changed", "no words", "exit code", "s")
    counts["all"] = sum(counts.values(), Counter[str]())
    say(f"{'level':10}" + "".join(f"{head:>11}" for head in heads))
    for level, count in counts.items():
        say(f"{level:10}" + "".join(f"{count[head]:11.0f}" for head in heads))
    for (kind, what), seeds in sorted(found.items(), key=lambda item: -len(item[1])):
        first = next(iter(seeds))
        say(f"{len(seeds)} x {kind} | {what} | {', '.join(sorted(seeds[first]))} | --replay {first}")
    return len(found)


def _enough(*_: object) -> None:
    raise Enough


def replay(level: str, seed: int) -> int:
    """One place again: what of it was changed, how each verb ends, whole tracebacks."""
    before, files = mutated(level, seed)
    folder = put(files, Path(tempfile.mkdtemp()) / "place")
    print(f"{folder}: changed are {[name for name in files if before.get(name) != files[name]]}")
    try:
        place.read(folder, as_of=DAY)
        print("It can be read.")
    except (PlaceError, InputError) as error:
        print(f"Refused: {str(error)[:2000]}")
    except Exception:
        traceback.print_exc()
    with shared_work():
        for asked in asked_of(folder):
            done = CliRunner().invoke(main, list(asked))
            if list(judged(done, "--json" in asked)) and done.exception is not None and done.exc_info:
                print(" ".join(asked))
                traceback.print_exception(*done.exc_info)
    wrong = reads(put(files, folder))[1] + verbs(folder)
    for one in wrong:
        print(one)
    return len(wrong)


# -- as small as it fails -----------------------------------------------------------------------------------------


def smallest(files: Files, fails: Callable[[Files], bool]) -> Files:
    """The files with as few of them, and as few lines in each, as still fail."""
    for name in sorted(files):
        less = {other: data for other, data in files.items() if other != name}
        files = less if less and fails(less) else files
    for name in sorted(name for name in files if name.endswith((".csv", ".toml"))):
        files = _fewer(files, name, files[name].splitlines(keepends=True), b"".join, fails)
    for name in sorted(name for name in files if name.endswith(".geojson")):
        try:
            told = json.loads(files[name])
            parts = list(told["features"])
        except (ValueError, KeyError, TypeError):
            continue
        files = _fewer(
            files, name, parts, lambda some, told=told: json.dumps(told | {"features": some}).encode(), fails
        )
    return files


def _fewer(files: Files, name: str, parts: list, join: Callable, fails: Callable[[Files], bool]) -> Files:
    step = max(len(parts) // 2, 1)
    while step:
        at = 0
        while at < len(parts):
            less = parts[:at] + parts[at + step :]
            if less and fails(files | {name: join(less)}):
                parts, files = less, files | {name: join(less)}
            else:
                at += step
        step //= 2
    return files


def keep(level: str, seed: int, name: str) -> None:
    """Put the first failure of a place into the corpus, as small as it fails; the folder is named VERB.NAME."""
    folder = Path(tempfile.mkdtemp()) / "place"
    files = mutated(level, seed)[1]
    wrong = reads(put(files, folder))[1] or verbs(folder)
    if not wrong:
        sys.exit("Nothing is wrong with it.")
    one = wrong[0]

    def fails(some: Files) -> bool:
        put(some, folder)
        return one in (reads(folder)[1] if one.asked == "read" else verbs(folder, (one.asked,)))

    small = smallest(files, fails)
    put(small, KEPT / f"{one.asked}.{name}")
    print(f"{KEPT / name}: {one}, {sum(map(len, small.values()))} bytes in {len(small)} files")


if __name__ == "__main__":
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _enough)
    parser = argparse.ArgumentParser(description="Places after rough handling.")
    parser.add_argument("--reads", type=int, default=20_000)
    parser.add_argument("--verbs", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--level", choices=list(LEVELS), action="append")
    parser.add_argument("--replay", nargs=2, metavar=("LEVEL", "SEED"))
    parser.add_argument("--keep", nargs=3, metavar=("LEVEL", "SEED", "NAME"))
    told = parser.parse_args()
    if told.replay:
        sys.exit(bool(replay(told.replay[0], int(told.replay[1]))))
    if told.keep:
        keep(told.keep[0], int(told.keep[1]), told.keep[2])
    else:
        sys.exit(bool(run(told.level or list(LEVELS), told.reads, told.verbs, told.seed)))
