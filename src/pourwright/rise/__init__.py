"""Foam rising along the level graph: level, pressure, short fills, vents and surplus."""
