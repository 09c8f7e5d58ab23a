"""Likely mistakes in measuring by hand: what each makes of the true value, and which explains a number best."""
