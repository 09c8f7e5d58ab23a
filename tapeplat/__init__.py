"""What people touch: the command line, printed sheets, the annotated picture, reports."""
