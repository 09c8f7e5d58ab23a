"""What PDFs and drawings say they were made by."""

MAKER = "Tapeplat"
"""The creator in a PDF's description, and the metadata of a drawing."""
