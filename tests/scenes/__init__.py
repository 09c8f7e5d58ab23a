"""Exact synthetic photos for the tests: every edge lies where the truth says, to within 0.02 px, and no file is read.
"""
