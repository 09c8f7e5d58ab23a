"""Formulas judged on a plat: what they say of it, made of measured quantities, and the chance that it holds."""
