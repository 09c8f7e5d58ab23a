"""Frames: what a sentence says by its concepts, in whichever order they stand, where no grammar reads it."""
