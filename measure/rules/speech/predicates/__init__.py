"""What is said of zones, as sentences of the grammars: sizes, gaps and places."""
