"""Kinds of rules about how large something is."""
