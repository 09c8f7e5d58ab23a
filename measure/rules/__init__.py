"""What every rule is made of, and what every kind of rule offers; the kinds and the language stand in folders below."""
