"""Plates, and skins on foam, by formula."""
