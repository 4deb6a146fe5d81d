"""Which part of the cavity each pour fills: bands, shapes of the level graph, amounts. Geometry only."""
