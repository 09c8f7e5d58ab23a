"""Everything that a challenge needs on paper, as vector PDF at true scale."""
