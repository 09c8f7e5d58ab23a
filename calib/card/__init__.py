"""The card seen from above: which of its boxes hold tape, and what colours the tapes have."""
