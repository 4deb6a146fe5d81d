"""The best day: limbs cut into pours and their starts, chosen together."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.day.at_once import too_hot_at_once
    from pourwright.day.body import Heat, Source
    from pourwright.day.choose import choose_day, confirm_day, offers_for
    from pourwright.day.model import Allowed, Day, Hinder, Stretch, Work
    from pourwright.day.offers import Offer, Offers
    from pourwright.day.question import Choice, Question, Weighs
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Allowed",
    "Choice",
    "Day",
    "Heat",
    "Hinder",
    "Offer",
    "Offers",
    "Question",
    "Source",
    "Stretch",
    "Weighs",
    "Work",
    "choose_day",
    "confirm_day",
    "offers_for",
    "too_hot_at_once",
]
