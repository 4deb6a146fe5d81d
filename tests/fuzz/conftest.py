"""The coverage-guided fuzzer is run by hand: its library is not among the test extras."""

collect_ignore = ["coverage_guided.py"]
