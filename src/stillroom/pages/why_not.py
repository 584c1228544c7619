"""Why a file or a folder could not be read or written, in words that say what to do."""

from __future__ import annotations

import errno

_REASONS = {
    errno.EACCES: "you may not write there; choose another folder",
    errno.EPERM: "you may not write there; choose another folder",
    errno.EROFS: "that disk can only be read; choose another folder",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EEXIST: "a file of that name is there; name a folder",
    errno.ENOTDIR: "a file stands where a folder is named; name a folder",
    errno.EISDIR: "a folder stands where a file is to go; move it away",
    errno.ENOENT: "there is no such folder",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EBUSY: "another program holds it; close it there",
}


def why_not(error: OSError) -> str:
    """
    Say why the system refused.

    >>> why_not(FileExistsError(errno.EEXIST, "File exists")), why_not(OSError("odd"))
    ('a file of that name is there; name a folder', 'odd')
    """
    return _REASONS.get(error.errno or 0) or error.strerror or str(error)
