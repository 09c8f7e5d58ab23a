"""Kinds of rules about what stands on the land."""
