"""Work that is done beside the page, in processes of its own."""
