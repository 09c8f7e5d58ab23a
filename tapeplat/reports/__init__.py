"""Reports for the wall and the desk: a page for each team, the class's summary, tables, scale maps."""
