"""What pages show of measured models, and forms that change them."""
