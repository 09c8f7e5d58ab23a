"""Printed tags in a photo: found, their edges and cells at sub-pixel precision."""
