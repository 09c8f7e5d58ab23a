"""From rough outlines to sides and curves at sub-pixel precision, with their sensitivities."""
