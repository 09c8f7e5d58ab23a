"""Vector PDF in millimetres: pages, text, tables, fonts, tags."""
