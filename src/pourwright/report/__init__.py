"""What a person reads: sheet, page, terminal, Markdown, CSV and drawings. Takes results; computes nothing."""
