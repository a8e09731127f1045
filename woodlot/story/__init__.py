"""The chapters in order for one place: measured, standing, growing, herd; and together, planned.

chapters.py   each chapter's answer for a Place, a dozen lines each
answers.py    all of it as one plain mapping, the only thing that screen, map and report are drawn from
why.py        how one number was made
"""

from woodlot.story.answers import answers
from woodlot.story.chapters import Measured, Plan, Standing, growing, herd, measured, plan, standing

__all__ = ["Measured", "Plan", "Standing", "answers", "growing", "herd", "measured", "plan", "standing"]
