"""What every page stands on, of itself."""
