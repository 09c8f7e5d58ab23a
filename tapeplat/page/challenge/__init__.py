"""A challenge between its file and the form in which a teacher edits it."""
