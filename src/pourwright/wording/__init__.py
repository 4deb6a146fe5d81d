"""Sentences and figures as a person reads them, in both unit systems, made from results; one place for each."""
