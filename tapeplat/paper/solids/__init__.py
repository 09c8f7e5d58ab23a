"""The sheet for structures: a picture of each solid, and what to measure on it."""
