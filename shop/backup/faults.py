"""What can go wrong with a backup, each said in one sentence."""

import errno


class BackupFault(Exception):
    """A backup cannot be made, opened or put back; the message is a sentence for the owner."""


def said_of(fault: OSError, doing: str) -> str:
    """A sentence for a fault of the disk while `doing` ("writing the backup")."""
    if fault.errno == errno.ENOSPC:
        return f"There is no room left on the disk for {doing}."
    if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"The folder may not be written to, {doing} stopped."
    return f"The disk failed at {doing} ({fault.strerror or type(fault).__name__})."
