"""The best day: limbs cut into pours and their starts, chosen together."""

from pourwright.day.body import Source
from pourwright.day.choose import Choice, Question, choose_day
from pourwright.day.model import Allowed, Day, Stretch, Work

__all__ = ["Allowed", "Choice", "Day", "Question", "Source", "Stretch", "Work", "choose_day"]
