"""CPU seconds of every verb on a copy of the sample, beside a process that only imports what the verb imports.

    python tests/trials/verb_cpu_seconds.py [--beside CHECKOUT] [VERB ...]

User and system seconds of the child, the middle of three runs, all in one go on one machine. With --beside, the verbs
of an older checkout run in turn with these, on its own sample.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

HERE = Path(__file__).parents[2]
RUNS = 3
DAY = ("--as-of", "2026-11-25")
#: What is typed, a line each; PLACE stands for the copy of the sample.
TYPED = {
    **{verb: (verb, "PLACE", *DAY) for verb in ("walk", "cruise", "scale", "grow", "cut", "fell", "herd", "hunt")},
    **{verb: (verb, "PLACE", *DAY) for verb in ("what-if", "plan", "sheet", "map")},
    "note": ("note", "PLACE", "--kind", "seen", "--text", "tracks", "--date", "2026-11-20"),
    "book": ("book", "PLACE"),
    **{
        f"why {what}": ("why", what, "PLACE", *DAY)
        for what in ("cords", "bdft", "basal", "cut", "heat", "deer", "take")
    },
}
LISTED = (
    "import sys, woodlot\nassert woodlot.__file__.startswith(sys.argv[2]), woodlot.__file__\n"
    "from woodlot.cli import main\nmain(sys.argv[3:], standalone_mode=False)\n"
    "open(sys.argv[1], 'w').write(' '.join(name for name in sys.modules if name != '__main__'))"
)
IMPORTS = (
    "import importlib, sys\nfor name in open(sys.argv[1]).read().split():\n"
    "    try:\n        importlib.import_module(name)\n    except ImportError:\n        pass"
)


def cpu_s(checkout: Path, scratch: Path, *typed: str) -> float:
    """User and system seconds of one child that runs the package of a checkout; it must end well."""
    child = subprocess.Popen(
        [sys.executable, *typed],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        cwd=scratch,
        env=os.environ | {"PYTHONPATH": str(checkout)},
    )
    assert child.stderr is not None
    errors = child.stderr.read().decode()
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{' '.join(typed)}: {errors}")
    return used.ru_utime + used.ru_stime


def seconds(checkouts: list[Path], words: tuple[str, ...], scratch: Path) -> list[float]:
    """Of one verb: the bare imports of the first checkout, then the verb in each; run in turn, the middle of each."""
    listed, commands = scratch / "modules", []
    for nth, checkout in enumerate(checkouts):
        sample = checkout / "sample_parcels" / "otter_lake"
        place = scratch / f"place{nth}"
        shutil.rmtree(place, ignore_errors=True)
        shutil.copytree(sample, place, ignore=shutil.ignore_patterns("out"))
        typed = [str(place) if word == "PLACE" else word for word in words]
        cpu_s(checkout, scratch, "-c", LISTED, str(listed if nth == 0 else scratch / "others"), str(checkout), *typed)
        commands.append((checkout, "-m", "woodlot", *typed))
    commands.insert(0, (checkouts[0], "-c", IMPORTS, str(listed)))
    rounds = [[cpu_s(checkout, scratch, *typed) for checkout, *typed in commands] for _ in range(RUNS)]
    return [median(column) for column in zip(*rounds, strict=True)]


def main(wanted: list[str], beside: Path | None) -> None:
    """Print one line a verb."""
    checkouts = [HERE] if beside is None else [HERE, beside.resolve()]
    heads = ["imports, s", "verb, s", "times", *(["before, s"] if beside else [])]
    print(f"{'verb':10}" + "".join(f"{head:>12}" for head in heads))
    with tempfile.TemporaryDirectory() as scratch:
        for verb, words in TYPED.items():
            if wanted and verb not in wanted and words[0] not in wanted:
                continue
            bare, now, *before = seconds(checkouts, words, Path(scratch))
            print(f"{verb:10}" + "".join(f"{s:12.2f}" for s in (bare, now, now / bare, *before)), flush=True)


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--beside", type=Path)
    asked.add_argument("verbs", nargs="*")
    given = asked.parse_args()
    main(given.verbs, given.beside)
