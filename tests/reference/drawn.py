"""Foam of the lifts as pictures have it."""

from pourwright.draw.bodies import lift_body
from pourwright.draw.skin_cuts import lift_skins


def lift_bodies(plan, view):
    """A body for each lift, from the base up."""
    lifts = plan.lift_plan.lifts
    return [lift_body(plan, view, made, lift.number) for lift, made in zip(lifts, lift_skins(plan), strict=True)]
