"""The archives of many schools together, read from their files or from an index in PostgreSQL; their figures."""
