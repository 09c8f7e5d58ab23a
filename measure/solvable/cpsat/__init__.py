"""Layouts on a grid, searched for by a constraint solver."""
