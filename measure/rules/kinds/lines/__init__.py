"""Rules about lines: pipes, cables, roads and rails."""
