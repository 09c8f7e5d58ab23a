"""What to offer in the place of a sentence that is refused: whole sentences that would be read, nearest first."""
