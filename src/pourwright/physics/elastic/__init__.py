"""Plates, shells, sandwich and buckling by formula."""
