"""Pages on the piece against its wall: loads on the anchors, suggested places, the report for the engineer."""
