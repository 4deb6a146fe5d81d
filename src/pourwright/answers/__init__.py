"""Answers to single questions: their pages, drawings and files."""
