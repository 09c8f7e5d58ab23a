"""Solids that stand on the plane, found and measured in several photos of one model."""
