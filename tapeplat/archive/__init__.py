"""The archive of annotated results: plain files as the truth, an index beside them, kept through a crash at any moment.

`Archive` is all that other rooms need; `NewAttempt` is what it files and `Entry` what it lists.
"""

from tapeplat.archive.storage.entry import Entry, NewAttempt
from tapeplat.archive.store import Archive, default_root

__all__ = ["Archive", "Entry", "NewAttempt", "default_root"]
