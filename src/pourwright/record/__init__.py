"""record."""
