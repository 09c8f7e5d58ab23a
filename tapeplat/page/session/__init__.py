"""Who is asking, what a request may need, what it has to pass."""
