"""Kinds of rules about what is there, and what people see."""
