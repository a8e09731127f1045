"""The chapters in order for one place: measured, standing, cutting, herd; and together, planned.

chapters.py   each chapter's answer for a Place, a dozen lines each
cutting.py    growth and the cut: today's woods, what may be cut, when, this winter's job
growth_view.py  what grow and cut show
felling.py    a tally of trees: what they become, which to fell for the house
answers.py    all of it as one plain mapping, the only thing that screen, map and report are drawn from
first.py      the first screen: one line that decides, then a row for each question
told.py       pieces of the answers: notes, cautions, which figures come from where
views.py      what single verbs show
files.py      tables and layers written beside map and report
why.py        how one number was made
"""

from woodlot.story.answers import answers
from woodlot.story.chapters import Measured, Plan, Standing, herd, herd_and_cuts, measured, plan, standing
from woodlot.story.choices import choice
from woodlot.story.cutting import Cutting
from woodlot.story.files import table_files

__all__ = [
    "Cutting",
    "Measured",
    "Plan",
    "Standing",
    "answers",
    "choice",
    "herd",
    "herd_and_cuts",
    "measured",
    "plan",
    "standing",
    "table_files",
]
