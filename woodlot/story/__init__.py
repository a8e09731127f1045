"""The chapters in order for one place: measured, standing, cutting, herd; and together, planned.

chapters.py   each chapter's answer for a Place, a dozen lines each
cutting.py    growth and the cut: today's woods, what may be cut, when, this winter's job
growth_view.py  what grow and cut show
felling.py    a tally of trees: what they become, which to fell for the house
views.py      what single verbs show
why.py        how one number was made (it takes answers, which are made from the chapters)
"""

from woodlot.story.chapters import Measured, Plan, Standing, herd, herd_and_cuts, measured, plan, standing
from woodlot.story.choices import choice
from woodlot.story.cutting import Cutting

__all__ = [
    "Cutting",
    "Measured",
    "Plan",
    "Standing",
    "choice",
    "herd",
    "herd_and_cuts",
    "measured",
    "plan",
    "standing",
]
