"""Outlines repaired by hand."""
