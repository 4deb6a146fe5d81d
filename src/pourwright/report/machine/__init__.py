"""Pages and tables of a part that a machine fills."""
