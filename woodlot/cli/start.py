"""``woodlot start``: a new place."""

from pathlib import Path

import click

from woodlot.cli import show
from woodlot.say.words import noun


@click.command(short_help="Lay out an empty place, or a copy of the sample.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--sample", metavar="NAME", help="Copy a sample place instead, such as otter_lake.")
@click.option(
    "--from",
    "bundle",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Lay out the place that a file of `woodlot bundle` holds, or the folder it was unpacked into.",
)
@click.option("--region", metavar="NAME", default="lake_states", show_default=True, help="Region of the new place.")
@show.plain_faults
def start(folder: Path, sample: str | None, bundle: Path | None, region: str) -> None:
    """Lay out an empty place in DIR: place.toml, every table with its heading, and columns.txt that explains them.

    DIR is new or empty. To a DIR with files but no place.toml only that and columns.txt are added; nothing is ever
    written over. What was handed on as a bundle is checked first, and laid out only where all of it is whole.

    Example:  woodlot start our_woods
    """
    from woodlot import place

    if bundle is not None:
        _from_bundle(folder, bundle, sample)
        return
    full = folder.is_dir() and any(folder.iterdir())
    written = place.start(folder, sample=sample, region=region)
    if sample is not None:
        show.say(
            f"Copied the sample {sample} to {folder}: {len(written)} files. Look at it with:  woodlot walk {folder}"
        )
        return
    if full:
        are = noun(len(written), "is", "are")
        show.say(f"{' and '.join(written)} {are} added to {folder}; nothing else there was touched.")
        show.say("Look at the name and region in place.toml, then:")
        if waiting := place.unread(folder):
            show.say(f"woodlot bring {folder}", indent=5)
            show.say(f"It takes in what lies there: {', '.join(path.name for path in waiting)}.", indent=2)
        else:
            show.say(f"woodlot walk {folder}", indent=5)
        return
    show.say(f"A new place lies in {folder}: {', '.join(written)}.")
    show.say()
    show.say("Next")
    show.say("1  Draw the outline of each parcel and save it there as parcels.geojson.", indent=2, hang=5)
    show.say(
        "2  Draw the stands and save them as stands.geojson; till then each parcel is one stand.", indent=2, hang=5
    )
    show.say("3  Write your plots and trees into plots.csv and trees.csv.", indent=2, hang=5)
    show.say("columns.txt tells what belongs where. To see what is still missing:", indent=2)
    show.say(f"woodlot walk {folder}", indent=5)


def _from_bundle(folder: Path, bundle: Path, sample: str | None) -> None:
    from woodlot.errors import InputError
    from woodlot.place.bundle import lay_out

    if sample is not None:
        raise InputError("a sample and a bundle cannot both be laid out; name one of them")
    names = lay_out(bundle, folder)
    show.say(f"Checked and laid out in {folder}: {', '.join(names)}. Look at it with:  woodlot walk {folder}")
