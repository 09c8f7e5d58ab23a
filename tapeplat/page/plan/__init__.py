"""Plans that teams draw: their rows, their outlines, what the rules say of them."""
