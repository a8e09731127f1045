"""Do two environments give the same numbers? The --json of the verbs on both samples, of one held to the other.

    ONE/bin/python tests/trials/same_numbers.py write FOLDER_ONE
    TWO/bin/python tests/trials/same_numbers.py write FOLDER_TWO
    python tests/trials/same_numbers.py compare FOLDER_ONE FOLDER_TWO

Numbers agree within a millionth of themselves, words word for word. What a search by whole numbers chose (the verbs cut
and fell, and what others take from their schedule) may be another plan of the same worth: it is compared too and told
apart. Ends with 1 when anything else differs.
"""

import json
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import chdir
from pathlib import Path
from typing import Any

SAMPLES = Path(__file__).resolve().parents[2] / "sample_parcels"
PLACES = ("otter_lake", "first_forty")
VERBS = ("walk", "cruise", "scale", "grow", "herd", "hunt", "cut", "fell", "what-if")
#: Answers by a search over whole numbers: whole verbs, and parts of others that follow its schedule.
SEARCHED = ("cut.json", "fell.json", "what-if.json")
DAY = "2026-11-25"
WITHIN = 1e-6
LEAST = 1e-9  # differences of what should be 0


def write(folder: Path) -> None:
    """The --json of every verb on a copy of every sample, or why it was refused."""
    from click.testing import CliRunner

    from woodlot.cli import main

    folder.mkdir(parents=True, exist_ok=True)
    folder = folder.resolve()
    with tempfile.TemporaryDirectory() as scratch, chdir(scratch):  # commands in sentences name the place
        for name in PLACES:
            shutil.copytree(SAMPLES / name, name, ignore=shutil.ignore_patterns("out"))
            for verb in VERBS:
                done = CliRunner().invoke(main, [verb, name, "--json", "--as-of", DAY])
                if done.exception is not None and not isinstance(done.exception, SystemExit):
                    raise done.exception
                answer = done.stdout if done.exit_code == 0 else json.dumps({"refused": done.stderr})
                (folder / f"{name}.{verb}.json").write_text(answer, encoding="utf-8")


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Path and value of every number, word and nothing of an answer."""
    if isinstance(value, dict):
        for key in value:
            yield from leaves(value[key], f"{path}/{key}")
    elif isinstance(value, list):
        for at, one in enumerate(value):
            yield from leaves(one, f"{path}/{at}")
    else:
        yield path, value


def apart(one: Any, two: Any) -> float:
    """How far two values lie apart: of numbers the share of the larger, 0 within LEAST; of all else 0 or infinite."""
    numbers = [isinstance(value, int | float) and not isinstance(value, bool) for value in (one, two)]
    if all(numbers):
        return 0.0 if abs(one - two) <= LEAST else abs(one - two) / max(abs(one), abs(two))
    return 0.0 if not any(numbers) and one == two else float("inf")


def compared(one: Path, two: Path) -> list[tuple[str, str, float, Any, Any]]:
    """File, path, how far apart and the two values, for every leaf of all files; what is in one only is apart."""
    names = [sorted(path.name for path in folder.glob("*.json")) for folder in (one, two)]
    if names[0] != names[1] or not names[0]:
        raise SystemExit(f"not the same files: {sorted(set(names[0]) ^ set(names[1])) or 'none at all'}")
    out = []
    for name in names[0]:
        a, b = (dict(leaves(json.loads((folder / name).read_text(encoding="utf-8")))) for folder in (one, two))
        none = object()
        for path in dict.fromkeys([*a, *b]):
            x, y = a.get(path, none), b.get(path, none)
            out.append((name, path, apart(x, y), x if x is not none else "nothing", y if y is not none else "nothing"))
    return out


def main(one: Path, two: Path) -> int:
    """Print what differs; 1 when it is not of a search by whole numbers."""
    wrong = 0
    for searched in (False, True):
        rows = [row for row in compared(one, two) if row[0].endswith(SEARCHED) == searched]
        numbers = [row for row in rows if isinstance(row[3], int | float) and not isinstance(row[3], bool)]
        far = [row for row in rows if row[2] > WITHIN]
        most = max((row[2] for row in numbers), default=0.0)
        kind = "chosen by a search over whole numbers" if searched else "all else"
        print(f"{kind}: {len(rows):,} values, {len(numbers):,} of them numbers, at most {most:.1e} apart; ", end="")
        print(f"{len(far):,} differ by more than {WITHIN:g}")
        for name, path, _, x, y in far[:20]:
            print(f"    {name} {path}: {str(x)[:60]} | {str(y)[:60]}")
        wrong += 0 if searched else len(far)
    return int(wrong > 0)


if __name__ == "__main__":
    verb, *folders = sys.argv[1:]
    if verb == "write":
        write(Path(folders[0]))
    else:
        sys.exit(main(Path(folders[0]), Path(folders[1])))
