"""The archive of annotated results: plain files as the truth, an index beside them, kept through a crash at any moment.

`Archive(root)` is all that other rooms need: `save`, `entries`, `replace_result`, `remove`, `expire`, `verify`,
`rebuild`, `export`; `compare` sets two attempts side by side; `attempt_of` makes an attempt of a measured model.
"""

from tapeplat.archive.entry import Entry, NewAttempt
from tapeplat.archive.store import Archive, default_root

__all__ = ["Archive", "Entry", "NewAttempt", "default_root"]
