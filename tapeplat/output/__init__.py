"""Files for people: a folder written all or none, plain pages, tables for a spreadsheet."""
