"""Outlines that come from elsewhere."""
