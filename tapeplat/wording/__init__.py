"""Measured values in words, in the form of numbers that the class uses."""
