"""What children wrote, and every true value that it can mean."""
