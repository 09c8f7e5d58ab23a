"""Photos read, corrected pictures, traced outlines."""
