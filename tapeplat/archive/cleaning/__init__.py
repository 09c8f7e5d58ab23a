"""What is taken out of files before they are filed: faces, places, names."""
