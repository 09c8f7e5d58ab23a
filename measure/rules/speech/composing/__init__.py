"""The actions of grammar.txt, which compose the meanings of sentences from those of their parts."""
