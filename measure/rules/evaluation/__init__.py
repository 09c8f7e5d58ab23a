"""Rules judged on a plat, and what is odd about rules by themselves."""
