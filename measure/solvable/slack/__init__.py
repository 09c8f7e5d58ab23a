"""Layouts off the grid: how much room every limit has."""
