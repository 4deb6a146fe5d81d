"""Pages of answers: loads on the anchors, suggested places, the report for the engineer; tests on the water."""
