"""The command ``woodlot``: one verb per file in this folder; no arithmetic here.

A verb is a module named like the verb (``_`` for ``-``), holding a click command of the same name. It is opened only
when it is asked for, so that ``woodlot --help`` does not load what only one verb needs.
"""

import gc
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import IO, Any

import click

from woodlot import __version__

#: Things made between two looks for waste.
MANY = 1_000_000
#: Verbs in the order of the work, with the line that ``woodlot --help`` shows; a test holds them to their files.
VERBS = {
    "start": "Lay out an empty place, or a copy of the sample.",
    "bring": "Take in files as they are: maps, walks, spreadsheets.",
    "walk": "Read everything: acres, gaps, corners, and every row to mend.",
    "mend": "Draw lines that were traced twice as one; the file as it was is kept.",
    "cruise": "What stands where, with its range, and plots still to measure.",
    "scale": "Cords, board feet and species by stand, parcel and in all.",
    "grow": "Today's woods from an older cruise, what they grow, and where they go.",
    "cut": "How much may be cut each year, when and where, and this winter's job.",
    "fell": "What felled trees become, which to fell for the house, a buck sheet.",
    "herd": "How many deer use the ground, and what the browse says.",
    "hunt": "Bucks and does that may be taken at most, and the meat.",
    "group": "Neighbors who pool ground and take: whose the next doe is.",
    "what-if": "The plan beside a dry decade, a storm, ash gone and other what-ifs.",
    "plan": "The whole job: map, report and tables in out/.",
    "sheet": "Tally sheets to carry, on paper and on a phone without signal.",
    "note": "Write one dated line in the ledger.",
    "book": "What the ledger holds: totals by year and kind.",
    "map": "The one-file map that opens without signal.",
    "bundle": "The whole record in one file to hand on, and whether one is whole.",
    "why": "How one number was made: method, figures, sources, range.",
}


def _columns() -> int:
    """Columns of help: the screen's, 80 at most."""
    from woodlot.cli import show

    return min(show.width(), 80)


class _Usage(click.UsageError):
    """A command that cannot be understood, said in our words and as wide as help is; exit code 2."""

    def show(self, file: IO[Any] | None = None) -> None:
        """Print how the verb is used and what stood in the way."""
        if self.ctx is not None:
            click.echo(self.ctx.get_usage(), err=True, file=file)
            click.echo(f"Help:  {self.ctx.command_path} --help\n", err=True, file=file)
        said = f"Stopped: {self.format_message()}"
        click.echo("\n".join(textwrap.wrap(said, _columns(), subsequent_indent="    ")), err=True, file=file)


@contextmanager
def _in_our_words() -> Iterator[None]:
    try:
        yield
    except click.UsageError as fault:
        if isinstance(fault, _Usage) or type(fault).__name__ == "NoArgsIsHelpError":  # the help itself, click 8.2 on
            raise
        raise _Usage(fault.format_message(), fault.ctx) from fault


class _Verbs(click.Group):
    def make_context(self, *args: Any, **kwargs: Any) -> click.Context:
        with _in_our_words():
            return super().make_context(*args, terminal_width=_columns() - 2, **kwargs)

    def invoke(self, ctx: click.Context) -> Any:
        from woodlot.cli.ends import in_words

        gc.set_threshold(MANY)  # a verb's tables live until it ends: looking through them for waste is time lost
        with _in_our_words(), in_words(lambda: f"woodlot {ctx.invoked_subcommand or ''}".strip()):
            return super().invoke(ctx)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        file = name.replace("-", "_")
        if name not in VERBS or not (Path(__file__).parent / f"{file}.py").is_file():
            return None
        return getattr(import_module(f"woodlot.cli.{file}"), file)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in VERBS:
            from woodlot.trade import closest

            if near := closest(args[0], VERBS):
                ctx.fail(f"There is no verb {args[0]!r}. Did you mean {near!r}?")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Verbs, in the order of the work"):
            formatter.write_dl(list(VERBS.items()))


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="woodlot")
def main() -> None:
    """Plan the wood and the deer of your own woods from what you can measure yourself.

    PLACE is the folder with your files; without it woodlot takes the folder you are in.

    Example:  woodlot plan sample_parcels/otter_lake
    """
