"""Flat and curved panels of a skin: found, measured, laid flat."""
