"""How tapes look in a photo: which look alike, and whose outline has another colour than its tape."""
