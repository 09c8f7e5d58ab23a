"""From the corrected picture to rough closed outlines."""
