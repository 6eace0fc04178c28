"""The file of a backup: an ordinary ZIP whose comment holds the SHA-256 of everything before that digest."""

import hashlib
import json
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile

from specapp.core.backup.errors import BackupRefused

FORMAT = "backup/1"
MANIFEST = "manifest.json"
_MARK = b"specapp backup/1 sha256 "
_DIGEST_LENGTH = 64
_CHUNK = 1 << 20


def begin(path: Path) -> ZipFile:
    """Return a new archive to be filled; `seal` ends it."""
    archive = ZipFile(path, "w", ZIP_DEFLATED, compresslevel=6)
    archive.comment = _MARK + b"0" * _DIGEST_LENGTH
    return archive


def seal(path: Path) -> str:
    """Write the digest of a finished archive into its comment and return it."""
    digest = _digest(path)
    with path.open("r+b") as file:
        file.seek(-_DIGEST_LENGTH, 2)
        file.write(digest.encode())
    return digest


def opened(path: Path) -> tuple[ZipFile, dict[str, Any], str]:
    """Return a whole backup with its manifest and digest. Raises `BackupRefused` for any other file."""
    try:
        with path.open("rb") as file:
            size = file.seek(0, 2)
            file.seek(max(0, size - len(_MARK) - _DIGEST_LENGTH))
            tail = file.read()
    except OSError as error:
        raise BackupRefused(f"{path}: {error.strerror or error}.") from error
    mark, told = tail[:-_DIGEST_LENGTH], tail[-_DIGEST_LENGTH:]
    if mark != _MARK:
        if mark.startswith(_MARK[:15]):
            found = mark[8:].split(b" ")[0].decode("ascii", "replace")
            raise BackupRefused(f"{path}: found {found}; allowed: {FORMAT}. A later version wrote it.")
        raise BackupRefused(f"{path}: found no backup, or one that is cut off; allowed: a file of `backup`.")
    digest = _digest(path)
    if told != digest.encode():
        raise BackupRefused(f"{path}: found damage, its checksum is not the one it carries.")
    try:
        archive = ZipFile(path)
        manifest = json.loads(archive.read(MANIFEST))
    except (BadZipFile, KeyError, ValueError) as error:
        raise BackupRefused(f"{path}: found no readable backup.") from error
    return archive, manifest, digest


def _digest(path: Path) -> str:
    """Return the SHA-256 of a file but for its last 64 bytes, where the digest itself stands."""
    left = path.stat().st_size - _DIGEST_LENGTH
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while left > 0:
            chunk = file.read(min(_CHUNK, left))
            if not chunk:
                break
            digest.update(chunk)
            left -= len(chunk)
    return digest.hexdigest()
