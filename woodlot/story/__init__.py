"""The chapters in order for one place: measured, standing, growing, herd; and together, planned.

chapters.py   each chapter's answer for a Place, a dozen lines each
answers.py    all of it as one plain mapping, the only thing that screen, map and report are drawn from
first.py      the first screen: one line that decides, then a row for each question
told.py       pieces of the answers: notes, cautions, which figures come from where
views.py      what single verbs show
files.py      tables and layers written beside map and report
why.py        how one number was made
"""

from woodlot.story.answers import answers
from woodlot.story.chapters import Measured, Plan, Standing, growing, herd, measured, plan, standing
from woodlot.story.files import table_files

__all__ = [
    "Measured",
    "Plan",
    "Standing",
    "answers",
    "growing",
    "herd",
    "measured",
    "plan",
    "standing",
    "table_files",
]
