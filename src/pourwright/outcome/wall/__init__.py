"""The piece against its wall: rods traced through it, loads on it, places for its anchors."""
