"""Measuring and other long work in processes of their own."""
