"""What a photo shows of lines: branches of a mask, profiles across them, strands between meetings."""
