"""CPU seconds of every verb on a copy of the sample, beside a process that only imports what the verb imports.

Run:  python tests/trials/verb_cpu_seconds.py [VERB ...]

User and system seconds of the child, the middle of three runs, all in one go on one machine. The package that is first
on PYTHONPATH is tried, so an older checkout can be tried with the same file.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

SAMPLE = Path(__file__).parent.parent.parent / "sample_parcels" / "otter_lake"
RUNS = 3
DAY = ("--as-of", "2026-11-25")
#: What is typed, a line each; PLACE stands for the copy of the sample.
TYPED = {
    **{verb: (verb, "PLACE", *DAY) for verb in ("walk", "cruise", "scale", "grow", "cut", "fell", "herd", "hunt")},
    **{verb: (verb, "PLACE", *DAY) for verb in ("plan", "sheet", "map")},
    "note": ("note", "PLACE", "--kind", "seen", "--text", "tracks", "--date", "2026-11-20"),
    "book": ("book", "PLACE"),
    **{
        f"why {what}": ("why", what, "PLACE", *DAY)
        for what in ("cords", "bdft", "basal", "cut", "heat", "deer", "take")
    },
}
LISTED = (
    "import sys\nfrom woodlot.cli import main\nmain(sys.argv[2:], standalone_mode=False)\n"
    "open(sys.argv[1], 'w').write(' '.join(name for name in sys.modules if name != '__main__'))"
)
IMPORTS = (
    "import importlib, sys\nfor name in open(sys.argv[1]).read().split():\n"
    "    try:\n        importlib.import_module(name)\n    except ImportError:\n        pass"
)


def cpu_s(*told: str) -> float:
    """User and system seconds of one child; it must end well."""
    child = subprocess.Popen([sys.executable, *told], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    assert child.stderr is not None
    said = child.stderr.read().decode()
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{' '.join(told)}: {said}")
    return used.ru_utime + used.ru_stime


def main(wanted: list[str]) -> None:
    """Print one line a verb."""
    print(f"{'verb':10}{'verb, s':>10}{'imports, s':>12}{'its own, s':>12}")
    with tempfile.TemporaryDirectory() as scratch:
        listed = Path(scratch) / "modules"
        for verb, words in TYPED.items():
            if wanted and verb not in wanted and words[0] not in wanted:
                continue
            place = shutil.copytree(SAMPLE, Path(scratch) / "place", dirs_exist_ok=True)
            typed = [str(place) if word == "PLACE" else word for word in words]
            cpu_s("-c", LISTED, str(listed), *typed)
            whole = median(cpu_s("-m", "woodlot", *typed) for _ in range(RUNS))
            bare = median(cpu_s("-c", IMPORTS, str(listed)) for _ in range(RUNS))
            print(f"{verb:10}{whole:10.2f}{bare:12.2f}{whole - bare:12.2f}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
