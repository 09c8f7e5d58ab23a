"""What every command shares: how it is read, its options, where it prints."""
