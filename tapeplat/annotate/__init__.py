"""The annotated picture of one model."""
