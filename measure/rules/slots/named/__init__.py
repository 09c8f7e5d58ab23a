"""What a clause names: its words as zones, amounts and concepts."""
