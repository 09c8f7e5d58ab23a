"""The web page: teacher and students in a browser, on this computer and, where it is shared, on the class's network."""
