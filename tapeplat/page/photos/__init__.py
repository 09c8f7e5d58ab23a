"""Photos on their way from a browser to the archive: looked at, kept, queued, measured by a worker, filed."""
