"""The result file."""
