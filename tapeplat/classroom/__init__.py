"""A whole class: a folder of photos, shared out to worker processes."""
