"""Formulae only: SI floats or arrays in and out, no project types."""
