"""Forms: what a learner fills in. Questions, predictions, the rule with gaps, the own rider.

Each works as the last line of a cell, by keyboard, and by plain code. Without a kernel it reads as
a printed worksheet does.
"""

from dragwork.teaching.forms.about_me import AboutMe
from dragwork.teaching.forms.claim_flow import ClaimFlow
from dragwork.teaching.forms.course_editor import course_editor, my_own_road
from dragwork.teaching.forms.guesses import choose, guess
from dragwork.teaching.forms.learner_rider import my_rider
from dragwork.teaching.forms.my_work import my_work
from dragwork.teaching.forms.options_flow import OptionsFlow
from dragwork.teaching.forms.own_claim_flow import OwnClaimFlow
from dragwork.teaching.forms.plan_flow import PlanFlow
from dragwork.teaching.forms.progress import can_do
from dragwork.teaching.forms.question_boxes import box, faded, practice, warm_up
from dragwork.teaching.forms.rule import one_rule
from dragwork.teaching.forms.sheet_flow import SheetFlow
from dragwork.teaching.forms.venue_flow import VenueFlow

__all__ = [
    "AboutMe", "ClaimFlow", "OptionsFlow", "OwnClaimFlow", "PlanFlow", "SheetFlow", "VenueFlow", "box", "can_do", "choose",
    "course_editor", "faded", "guess", "my_own_road", "my_rider", "my_work", "one_rule", "practice", "warm_up",
]  # fmt: skip
