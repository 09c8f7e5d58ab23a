"""Structures: tables of them, their volumes, the people that they hold."""
