"""Kinds of rules about where zones are."""
