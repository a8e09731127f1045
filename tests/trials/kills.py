"""Bad days: runs that are killed, disks that are full, hands that write at once. Nothing that was acknowledged is lost,
nothing stands twice, no file is half old and half new.

    python tests/trials/kills.py [notes swaps plans writers lines limits] [seed]

Each run is a child of this process that ends itself, as a power cut would, just before, within or just after one of
the system calls by which files are written; which one is drawn, over all of them. A full disk is a limit to the size
of files, at sizes all along those that are written.
"""

import os
import random
import resource
import shutil
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout, suppress
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

SAMPLES = Path(__file__).parents[2] / "sample_parcels"
DAY = date(2026, 11, 25)
#: System calls by which Python writes, and what is written halfway of the first.
CALLS = ("write", "fsync", "replace", "rename", "link", "unlink", "ftruncate", "mkdir", "rmdir", "close", "open")


class Ends:
    """Counts the calls by which files are written, and kills this process at one of them."""

    def __init__(self, at: int, how: str) -> None:
        """At which call (none is ever reached for -1), and whether before, within or after it."""
        self.at, self.how, self.count = at, how, 0

    def around(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The call, counted."""

        def counted(*args: Any, **more: Any) -> Any:
            here, self.count = self.count == self.at, self.count + 1
            if here and self.how == "within" and name == "write":
                call(args[0], args[1][: len(args[1]) // 2])
            if here and self.how != "after":
                os.kill(os.getpid(), signal.SIGKILL)
            out = call(*args, **more)
            if here:
                os.kill(os.getpid(), signal.SIGKILL)
            return out

        return counted

    def watch(self) -> None:
        """Stand between this process and the system from now on."""
        from woodlot.place import swapping

        for name in CALLS:
            setattr(os, name, self.around(name, getattr(os, name)))
        swapping._in_one_step = self.around("exchange", swapping._in_one_step)  # the exchange of two folders


def child(work: Callable[[], object], at: int = -1, how: str = "before", most_bytes: int = 0) -> tuple[bool, int]:
    """Run in a child that may be killed or have no room: whether it came to its end, and how many calls it made."""
    told, tell = os.pipe()
    pid = os.fork()
    if not pid:
        done = b"0"
        with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere), redirect_stderr(nowhere):
            ends, write, leave = Ends(at, how), os.write, os._exit
            try:
                if most_bytes:
                    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
                ends.watch()
                work()
                done = b"1"
            except BaseException:
                done = b"0"
            finally:
                write(tell, done + str(ends.count).encode())
                leave(0)
    os.close(tell)
    with os.fdopen(told, "rb") as pipe:
        said = pipe.read()
    os.waitpid(pid, 0)
    return said[:1] == b"1", int(said[1:] or 0)


def a_place(folder: Path) -> Path:
    """A copy of the small sample with its results."""
    home = folder / "place"
    shutil.copytree(SAMPLES / "first_forty", home, ignore=shutil.ignore_patterns("out", "plans"))
    return home


def lines_of(home: Path) -> tuple[Counter[str], list[str]]:
    """How often each hand stands in the ledger, and what is wrong with the ledger beside torn lines."""
    from woodlot import ledger
    from woodlot.place.sealed import ledger_text, seal_of

    path = home / "ledger.csv"
    lines, _, trouble = ledger.parse(ledger_text(path.name, path.read_bytes()) if path.exists() else "")
    wrong = [one.why.key for one in trouble if one.why.key not in ("line torn", "lines gone")]
    seal = seal_of(home)
    if seal is not None and len(ledger.gone(seal, lines)):
        wrong.append("a sealed line is gone")
    wrong += ["an id twice"] if lines["id"].duplicated().any() else []
    return Counter(lines["who"]), wrong


def old_form(home: Path) -> None:
    """The ledger as an older woodlot kept it, so that the next note brings it over."""
    from woodlot.ledger.lines import OLD_HEADING, checksum

    old = ["1", "2024-01-20", "", "", "firewood", "", "2.5", "cord", "Old", "two loads", "", "", ""]
    (home / "ledger.csv").write_text(",".join(OLD_HEADING) + "\n" + ",".join([*old, checksum(old)]) + "\n")
    (home / "ledger.seal").unlink(missing_ok=True)


def killed_notes(many: int, seed: int, home: Path) -> dict[str, int]:
    """Kills of one note each, a tenth of them while an old ledger is brought over: lost, doubled, else wrong."""
    from woodlot import place

    draw = random.Random(seed)
    note = {"kind": "firewood", "amount": 1.0, "unit": "cord"}
    old_form(home)
    brought = child(lambda: place.append_note(home, {**note, "who": "first"}, DAY))[1]
    calls = child(lambda: place.append_note(home, {**note, "who": "second"}, DAY))[1]
    acknowledged, tried = ["Old", "first", "second"], ["Old", "first", "second"]
    bad = Counter[str]()
    for number in range(many):
        who = f"hand {number}"
        if number % 10 == 9:
            old_form(home)
            acknowledged, tried = ["Old"], ["Old"]
        at, how = draw.randrange(brought if number % 10 == 9 else calls), draw.choice(("before", "within", "after"))
        whole, _ = child(lambda who=who: place.append_note(home, {**note, "who": who}, DAY), at, how)
        tried.append(who)
        acknowledged += [who] if whole else []
        stand, wrong = lines_of(home)
        bad["lost"] += sum(not stand[one] for one in acknowledged)
        bad["doubled"] += sum(stand[one] > 1 for one in tried)
        bad["strange"] += sum(one not in tried for one in stand)
        bad["wrong"] += len(wrong)
        bad["killed"] += not whole
    return dict(bad)


def whole_out(out: Path) -> str:
    """Which run made a folder of results, as its own list vouches for every file; "" where it is mixed or torn."""
    from woodlot.place.results import LIST

    if not (out / LIST).is_file():
        return ""
    for line in (out / LIST).read_text().splitlines():
        check, _, name = line.partition("  ")
        if not (out / name).is_file() or sha256((out / name).read_bytes()).hexdigest() != check:
            return ""
    return (out / "run.txt").read_text() if (out / "run.txt").is_file() else "whole"


def killed_swaps(many: int, seed: int, home: Path) -> dict[str, int]:
    """Kills within the swap of a folder of forty files: neither half, nor lost, nor a leftover after the next run."""
    from woodlot.place.results import write_results

    draw = random.Random(seed)

    def run(name: str) -> None:
        files = {f"tables/{at}.csv": f"{name}\n" * (50 + at) for at in range(40)}
        write_results(home / "out", {"run.txt": name, **files})

    run("first")
    (home / "out" / "my own.txt").write_text("kept")
    calls = child(lambda: run("again"))[1]
    last, bad = "again", Counter[str]()
    for number in range(many):
        name = f"run {number}"
        whole, _ = child(lambda name=name: run(name), draw.randrange(calls), draw.choice(("before", "within", "after")))
        stands = whole_out(home / "out")
        bad["half"] += stands not in (last, name) or (whole and stands != name)
        bad["own file lost"] += not (home / "out" / "my own.txt").is_file()
        bad["killed"] += not whole
        last = stands
    run("last")
    bad["leftovers"] += sum(one.name.startswith(".") for one in home.iterdir())
    return dict(bad)


def a_plan(home: Path) -> None:
    """The whole plan of a place, by its verb."""
    from woodlot.cli import main

    with Path(os.devnull).open("w") as no, redirect_stdout(no), redirect_stderr(no), suppress(SystemExit):
        main(["plan", str(home), "--as-of", DAY.isoformat()], standalone_mode=True)


def hand_ins(home: Path) -> str:
    """A checksum over all that a family handed in."""
    files = sorted(p for p in home.rglob("*") if p.is_file() and not {"out", "plans"} & {*p.relative_to(home).parts})
    own = [p for p in files if not p.relative_to(home).parts[0].startswith(".")]
    return sha256(b"".join(p.name.encode() + p.read_bytes() for p in own)).hexdigest()


def killed_plans(many: int, seed: int, home: Path) -> dict[str, int]:
    """Kills of whole plans at calls along all of their writing: results whole, hand-ins as they were."""
    draw = random.Random(seed)
    before = hand_ins(home)
    a_plan(home)  # so that children begin with everything loaded
    calls = child(lambda: a_plan(home))[1]
    bad = Counter[str]()
    for _ in range(many):
        whole, _ = child(lambda: a_plan(home), draw.randrange(calls), draw.choice(("before", "within", "after")))
        bad["half"] += not whole_out(home / "out")
        bad["hand-ins changed"] += hand_ins(home) != before
        bad["killed"] += not whole
    a_plan(home)
    bad["leftovers"] += sum(one.name.startswith(".") for one in home.iterdir())
    return dict(bad)


def many_writers(writers: int, lines: int, home: Path) -> dict[str, int]:
    """Writers at once, each with its own lines: all of them stand once, with numbers of their own."""
    from woodlot import ledger, place

    pids = []
    for writer in range(writers):
        pid = os.fork()
        if not pid:
            try:
                for number in range(lines):
                    note = {"kind": "seen", "text": f"{number}", "who": f"writer {writer}"}
                    place.append_note(home, note, DAY)
            finally:
                os._exit(0)
        pids.append(pid)
    for pid in pids:
        os.waitpid(pid, 0)
    wrong = lines_of(home)[1]
    found = ledger.parse((home / "ledger.csv").read_text())[0]
    found = found[found["who"].str.startswith("writer ")]
    return {
        "lost": writers * lines - len(found.drop_duplicates(["who", "text"])),
        "doubled": len(found) - len(found.drop_duplicates(["who", "text"])),
        "numbers twice": int(found["line"].duplicated().sum()),
        "wrong": len(wrong),
    }


def full_disk(limits: int, home: Path) -> dict[str, int]:
    """A note, results and a whole ledger brought over, with files limited to sizes along all that they write."""
    from woodlot import place
    from woodlot.place.results import write_results

    bad = Counter[str]()
    note = {"kind": "firewood", "amount": 1.0, "unit": "cord"}
    place.append_note(home, {**note, "who": "first"}, DAY)
    acknowledged = ["first"]
    size = (home / "ledger.csv").stat().st_size
    for at in range(limits):
        who = f"limit {at}"
        if at % 4 == 3:
            old_form(home)
            size, acknowledged = 0, ["Old"]
        most = 1 + size + int(400 * at / limits)
        if child(lambda who=who: place.append_note(home, {**note, "who": who}, DAY), most_bytes=most)[0]:
            acknowledged.append(who)
        stand, wrong = lines_of(home)
        size = (home / "ledger.csv").stat().st_size
        bad["lost"] += sum(not stand[one] for one in acknowledged)
        bad["doubled"] += sum(number > 1 for number in stand.values())
        bad["not acknowledged and there"] += stand[who] > 0 and who not in acknowledged
        bad["wrong"] += len(wrong)
    out = home / "out"
    for at in range(limits):
        files = {f"{size}.csv": "x" * 1000 * size for size in range(1, 20)}
        whole = child(
            lambda at=at, files=files: write_results(out, {"run.txt": f"{at}", **files}), most_bytes=500 * at + 1
        )[0]
        bad["half"] += out.exists() and not whole_out(out)
        bad["not told"] += whole and whole_out(out) != f"{at}"
    bad["leftovers"] += sum(one.name.startswith(".") for one in home.iterdir())
    return dict(bad)


def main() -> None:
    """All of it, as large as the command says."""
    told = [int(one) for one in sys.argv[1:]]
    notes, swaps, plans, writers, lines, limits = (told + [300, 300, 60, 8, 200, 40][len(told) :])[:6]
    seed = told[6] if len(told) > 6 else 17
    runs: dict[str, Callable[[Path], dict[str, int]]] = {
        f"{notes} kills of a note": lambda home: killed_notes(notes, seed, home),
        f"{swaps} kills within the swap": lambda home: killed_swaps(swaps, seed, home),
        f"{plans} kills of a plan": lambda home: killed_plans(plans, seed, home),
        f"{writers} writers by {lines} lines": lambda home: many_writers(writers, lines, home),
        f"full disk at {limits} points": lambda home: full_disk(limits, home),
    }
    for name, run in runs.items():
        with tempfile.TemporaryDirectory() as folder:
            print(f"{name}: {run(a_place(Path(folder)))}", flush=True)


if __name__ == "__main__":
    main()
