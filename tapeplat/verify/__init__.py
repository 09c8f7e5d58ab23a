"""Pages and files about hand measurements: for a team, for the teacher, for a spreadsheet."""
