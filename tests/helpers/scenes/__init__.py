"""Exact synthetic photos for the tests: edges lie where the truth says, to within 0.02 px; no file is read."""
