"""Slots: what a sentence names, in whichever order and among whichever other words, and the rules that it may state."""
