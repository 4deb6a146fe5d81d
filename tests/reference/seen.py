"""Lifts and pours of a plan, each with what was computed for it beside its own fields."""

from __future__ import annotations

from dataclasses import replace


class Seen:
    """A lift or a pour; ``found`` are further fields."""

    def __init__(self, own, **found):
        self.own = own
        self.__dict__.update(found)

    def __getattr__(self, name):
        return getattr(self.own, name)


def lifts_seen(plan):
    """Lifts with ``bulge``, their pours with ``heat`` and ``rise``; None where none was computed."""
    lifts = plan.lift_plan
    return [
        Seen(lift, pours=[_pour(lifts, pour) for pour in lift.pours], bulge=lifts.bulges.get(lift.number))
        for lift in lifts.lifts
    ]


def pours_seen(plan):
    """Pours in order, with ``heat`` and ``rise``."""
    return [pour for lift in lifts_seen(plan) for pour in lift.pours]


def _pour(lifts, pour):
    return Seen(pour, heat=lifts.heats.get(pour.name), rise=lifts.rises.get(pour.name))


def with_bulge(plan, number, **changed):
    """The plan with another bulge of one lift."""
    lifts = plan.lift_plan
    bulges = {**lifts.bulges, number: replace(lifts.bulges[number], **changed)}
    return replace(plan, lift_plan=replace(lifts, evaluation=replace(lifts.evaluation, bulges=bulges)))
