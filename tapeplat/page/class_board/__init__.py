"""The class board: one screen that says of every team how far its model is."""
