"""Outlines to numbers and verdicts: units, uncertainty, the plat, the challenge and its rules."""
