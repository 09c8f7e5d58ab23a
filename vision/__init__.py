"""Photo to outlines: reading photos, correcting perspective, finding tape, tracing polygons."""
