"""The schema of ``plan.json``: written, read back, and folders of a plan replaced whole."""
