"""What words mean: the lexicon, a chart parser over its senses, and what the senses stand for."""
