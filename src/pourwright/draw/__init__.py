"""Pictures, and what the page shows in three dimensions. Takes results; computes nothing."""
