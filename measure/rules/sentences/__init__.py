"""What the kinds build their rules from: the parts of a sentence, with their place in it."""
