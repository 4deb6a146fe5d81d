"""How a grade of foam behaves at this temperature: yield, times, heat, strength."""

from pourwright.foam.grade import Conditions, FoamAtShop, FoamGrade, Parts

__all__ = ["Conditions", "FoamAtShop", "FoamGrade", "Parts"]
