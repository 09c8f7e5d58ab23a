"""Everyday English rule sentences: words to senses, senses to meanings, meanings to canonical sentences."""
