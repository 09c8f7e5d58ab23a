"""An archive on disk: folders, checksums, the index of entries."""
