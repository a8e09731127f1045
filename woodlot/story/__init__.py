"""What is told of a ``Season``.

answers.py    all of it as one plain mapping, the only thing that screen, map and report are drawn from
cutting.py    the cut of all stands together
growth_view.py  what grow and cut show
felling.py    a tally of trees: what they become, which to fell for the house
first.py      the first screen: one line that decides, then a row for each question
told.py       pieces of the answers: notes, cautions, which figures come from where
views.py      what single verbs show
files.py      tables and layers written beside map and report
why.py        how one number was made
"""

from woodlot.story.answers import answers, counted, cut_totals
from woodlot.story.files import table_files

__all__ = ["answers", "counted", "cut_totals", "table_files"]
