"""A camera's lens learnt, stored, and checked."""
