"""A challenge's rules as inequalities over a layout."""
