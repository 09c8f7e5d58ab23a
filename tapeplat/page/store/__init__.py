"""What the page remembers: the challenges as files, all else of the classroom in one SQLite file."""
