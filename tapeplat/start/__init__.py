"""Where the program begins."""
