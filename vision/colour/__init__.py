"""Which tape, or which ground, every pixel of a corrected picture may belong to."""
