"""What the tests share: drawn photos (scenes), made plats, rules and results (made), the page's browsers (page)."""
