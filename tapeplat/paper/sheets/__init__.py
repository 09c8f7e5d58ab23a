"""The sheets themselves."""
