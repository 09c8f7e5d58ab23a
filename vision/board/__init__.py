"""Where the board lies in a photo."""
