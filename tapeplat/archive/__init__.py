"""The archive of annotated results: plain files as the truth, an index beside them, kept through a crash at any moment.

`store.Archive` is all that other rooms need; `entry.NewAttempt` is what it files and `entry.Entry` what it lists.
"""
