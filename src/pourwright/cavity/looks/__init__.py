"""A cavity seen coarsely along many directions, by the filled runs of its columns."""
