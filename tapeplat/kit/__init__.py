"""The unit kit: pages for a teacher and a class made from one challenge, as a document to edit or a PDF to print."""
