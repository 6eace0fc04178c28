"""Writing a backup from one moment of the database, while people go on working."""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from shutil import copyfileobj
from typing import Any
from zipfile import ZipFile

from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from specapp.core.audit import entry_append
from specapp.core.backup import archive
from specapp.core.backup.errors import BackupRefused
from specapp.core.backup.rows import kept_models, rows_write, stored_files


@dataclass(frozen=True, slots=True)
class Written:
    """What a backup holds; `missing` names files that rows refer to and the disk no longer has."""

    digest: str
    size: int
    rows: int
    files: int
    missing: tuple[str, ...]


def backup_write(path: Path, now: datetime) -> Written:
    """Write a backup to a new file, readable by its owner only. Raises `BackupRefused`."""
    if path.exists():
        raise BackupRefused(f"{path}: found a file; allowed: a name that is free.")
    part = path.with_name(f"{path.name}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except OSError as error:
        raise BackupRefused(f"{part}: {error.strerror or error}.") from error
    try:
        with archive.begin(part) as target, _one_moment():
            counts = {model._meta.label_lower: _rows(target, model) for model in kept_models()}
            files, missing = _files(target)
            target.writestr(archive.MANIFEST, json.dumps(_manifest(counts, files, now), indent=1))
        digest = archive.seal(part)
        _to_disk(part)
        part.rename(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    written = Written(digest, path.stat().st_size, sum(counts.values()), len(files), tuple(missing))
    entry_append(
        author=None,
        action="backup.write",
        subject=None,
        about=path.name,
        now=now,
        data={"sha256": digest, "rows": written.rows, "files": written.files, "missing": missing},
    )
    return written


@contextmanager
def _one_moment() -> Iterator[None]:
    """Read everything as of one moment and keep nobody from writing meanwhile."""
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        # Reading alone: the write lock that every other transaction begins with would hold people up.
        former, connection.transaction_mode = connection.transaction_mode, "DEFERRED"
        try:
            with transaction.atomic():
                yield
        finally:
            connection.transaction_mode = former
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield


def _rows(target: ZipFile, model: Any) -> int:
    with target.open(f"rows/{model._meta.label_lower}.jsonl", "w", force_zip64=True) as file:
        return rows_write(model, file)


def _files(target: ZipFile) -> tuple[list[str], list[str]]:
    kept, missing = [], []
    for name in stored_files():
        if not default_storage.exists(name):
            missing.append(name)
            continue
        with (
            default_storage.open(name) as source,
            target.open(f"files/{name}", "w", force_zip64=True) as file,
        ):
            copyfileobj(source, file)
        kept.append(name)
    return kept, missing


def _manifest(counts: dict[str, int], files: list[str], now: datetime) -> dict[str, Any]:
    return {
        "format": archive.FORMAT,
        "made_at": now.isoformat(),
        "program": version("specapp"),
        "database": connection.vendor,
        "migrations": sorted(map(list, MigrationRecorder(connection).applied_migrations())),
        "rows": counts,
        "files": files,
    }


def _to_disk(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())
