"""The measured map of one model and all that can be asked of it, each with its uncertainty."""
