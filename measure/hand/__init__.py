"""What children measured by hand: read, compared with the photo's values, and the likely mistakes named."""
