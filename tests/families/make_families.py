"""Write the invented families again, to the same bytes:  python tests/families/make_families.py [FOLDER]

FOLDER is where each family's folder goes, with raw/ and truth.toml; left out, they are written beside this file.
Every place, name and tree is made up. The ground lies where such a family could live.
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from recipe.hills import lane_farm, windy_ridge  # noqa: E402
from recipe.lake_states import back_forty, nine_winters, tamarack_bend  # noqa: E402
from recipe.northeast import attic_outline, line_lake, two_lots  # noqa: E402

FAMILIES = (back_forty, nine_winters, two_lots, windy_ridge, tamarack_bend, lane_farm, line_lake, attic_outline)


def write(to: Path) -> None:
    """Write all families."""
    for make in FAMILIES:
        family = make()
        raw = to / family.name / "raw"
        raw.mkdir(parents=True, exist_ok=True)
        for name, data in family.files.items():
            (raw / name).write_bytes(data)
        (raw.parent / "truth.toml").write_text(family.toml(), encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
