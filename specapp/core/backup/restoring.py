"""Restoring a backup: whole or not at all, into an empty database or in place of a used one."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from specapp.core.audit import chain_verify, entry_append
from specapp.core.backup import archive
from specapp.core.backup.errors import BackupRefused
from specapp.core.backup.rows import MADE_BY_ITSELF, every_model, kept_models, rows_read
from specapp.core.models import AuditEntry


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored; `record` says what does not hold in the record it brought, or nothing."""

    digest: str
    made_at: str
    rows: int
    files: int
    record: str


def backup_restore(path: Path, *, replace: bool, now: datetime) -> Restored:
    """Restore a backup. Raises `BackupRefused` before anything is changed.

    An older backup goes into a database without tables: it is brought to the backup's state, filled, and
    brought up to date.
    """
    source, manifest, digest = archive.opened(path)
    with source:
        told = _told_migrations(path, manifest)
        executor = MigrationExecutor(connection)
        ours = set(executor.loader.graph.nodes)
        if told - ours:
            app, name = min(told - ours)
            raise BackupRefused(
                f"{path}: found {app} {name}, written by a later version; allowed: one of this version or "
                "before. Update the program first."
            )
        if told == ours:
            _prepared(executor, replace=replace)
            with transaction.atomic():
                was = _emptied()
                rows = _filled(source, manifest, path)
                _verified()
                return _recorded(source, manifest, digest, rows, was, now)
        return _older(executor, source, manifest, digest, told, path, now)


def _told_migrations(path: Path, manifest: dict[str, Any]) -> set[tuple[str, str]]:
    if manifest.get("format") != archive.FORMAT:
        raise BackupRefused(f"{path}: found {manifest.get('format')!r}; allowed: {archive.FORMAT}.")
    return {(app, name) for app, name in manifest["migrations"]}


def _prepared(executor: MigrationExecutor, *, replace: bool) -> None:
    if not connection.introspection.table_names():
        call_command("migrate", verbosity=0, interactive=False)
        return
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise BackupRefused("Found a database that is not up to date; allowed: after `manage.py migrate`.")
    if replace:
        return
    for model in kept_models():
        if model._meta.label_lower not in MADE_BY_ITSELF and model._base_manager.exists():
            raise BackupRefused(
                f"Found a database in use ({model._meta.verbose_name_plural}); allowed: an empty one, or "
                "--replace, after which nothing of it is left."
            )


def _emptied() -> str:
    """Empty every table and return the last digest of the record that was there."""
    was = AuditEntry.objects.order_by("-pk").values_list("digest", flat=True).first() or ""
    tables = [model._meta.db_table for model in every_model()]
    with _unsealed(), connection.cursor() as cursor:
        for statement in connection.ops.sql_flush(no_style(), tables, reset_sequences=True):
            cursor.execute(statement)
    return was


@contextmanager
def _unsealed() -> Iterator[None]:
    """Let rows go that triggers seal. A TRUNCATE passes their row triggers; SQLite has only DELETE."""
    if connection.vendor != "sqlite":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f"DROP TRIGGER {connection.ops.quote_name(name)}")
    yield
    with connection.cursor() as cursor:
        for _, statement in triggers:
            cursor.execute(statement)


def _filled(source: ZipFile, manifest: dict[str, Any], path: Path, registry: Any = None) -> int:
    known = {
        model._meta.label_lower: model for model in (kept_models(registry) if registry else kept_models())
    }
    total = 0
    for label, count in manifest["rows"].items():
        with source.open(f"rows/{label}.jsonl") as file:
            read = rows_read(known[label], file)
        if read != count:
            raise BackupRefused(f"{path}: found {read} rows of {label}; allowed: {count}.")
        total += read
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(known.values())):
            cursor.execute(statement)
    return total


def _verified() -> None:
    try:
        connection.check_constraints()
    except IntegrityError as error:
        raise BackupRefused(f"Found rows that refer to rows which are not there: {error}.") from error


def _recorded(
    source: ZipFile, manifest: dict[str, Any], digest: str, rows: int, was: str, now: datetime
) -> Restored:
    """Bring the files back, and add the restoring to the record that was restored."""
    for name in manifest["files"]:
        if default_storage.exists(name):
            default_storage.delete(name)
        with source.open(f"files/{name}") as file:
            default_storage.save(name, File(file))
    state = chain_verify()
    restored = Restored(digest, manifest["made_at"], rows, len(manifest["files"]), state.reason)
    entry_append(
        author=None,
        action="backup.restore",
        subject=None,
        now=now,
        data={
            "sha256": digest,
            "made_at": manifest["made_at"],
            "rows": rows,
            "files": restored.files,
            "record_replaced": was or None,
            "record_does_not_hold": state.reason or None,
        },
    )
    return restored


def _older(
    executor: MigrationExecutor,
    source: ZipFile,
    manifest: dict[str, Any],
    digest: str,
    told: set[tuple[str, str]],
    path: Path,
    now: datetime,
) -> Restored:
    if connection.introspection.table_names():
        raise BackupRefused(
            f"{path}: found a backup of an earlier version; allowed: into a database without any table. Name "
            "a new one by DATABASE_URL."
        )
    children = executor.loader.graph.node_map
    last = [node for node in told if not any(child.key in told for child in children[node].children)]
    executor.migrate(last)
    registry = MigrationExecutor(connection).loader.project_state(last).apps
    with transaction.atomic():
        rows = _filled(source, manifest, path, registry)
        _verified()
    call_command("migrate", verbosity=0, interactive=False)
    with transaction.atomic():
        return _recorded(source, manifest, digest, rows, "", now)
