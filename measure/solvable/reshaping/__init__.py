"""Layouts of any outlines, such as triangles in corners and round zones, made from rectangles that nearly do."""
