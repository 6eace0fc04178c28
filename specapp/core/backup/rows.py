"""Rows as lines of JSON and back, the same for every database.

Not Django's own serialisation: it cuts times to milliseconds, and the record's digests are of the whole time.
"""

import base64
import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import IO, Any
from uuid import UUID

from django.apps import apps
from django.db import models

# Who is signed in and who tried what just now belongs to the moment, not to a backup.
LEFT_OUT = {"sessions.session", "core.countedwindow"}
# Made by Django itself in every database, and the backup's own go in their place.
MADE_BY_ITSELF = {"contenttypes.contenttype", "auth.permission"}
_READ_ROWS = 200
_BATCH_ROWS = 500
_BATCH_CHARACTERS = 8_000_000


def every_model(registry: Any = apps) -> list[type[models.Model]]:
    """Return every model with a table, also those of many-to-many fields."""
    found = registry.get_models(include_auto_created=True)
    return [model for model in found if model._meta.managed and not model._meta.proxy]


def kept_models(registry: Any = apps) -> list[type[models.Model]]:
    return [model for model in every_model(registry) if model._meta.label_lower not in LEFT_OUT]


def rows_write(model: type[models.Model], file: IO[bytes]) -> int:
    """Write the rows of a model: its columns, then a row a line. Returns how many rows."""
    names = [field.attname for field in model._meta.concrete_fields]
    file.write(_line(names))
    count = 0
    rows = model._base_manager.order_by("pk").values_list(*names)
    for count, row in enumerate(rows.iterator(chunk_size=_READ_ROWS), 1):  # noqa: B007  counted
        file.write(_line(row))
    return count


def _line(values: Iterable[Any]) -> bytes:
    return (
        json.dumps(list(values), default=_plain, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
    )


def _plain(value: Any) -> str:
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode("ascii")
    if isinstance(value, Decimal | UUID):
        return str(value)
    if isinstance(value, timedelta):
        return str(value.total_seconds())
    raise TypeError(f"A column of {type(value).__name__} has no form in a backup yet.")


def rows_read(model: type[models.Model], lines: Iterable[bytes]) -> int:
    """Store rows as they were, with their numbers. Returns how many."""
    fields, count = None, 0
    for batch in _batches(lines):
        rows = []
        for line in batch:
            values = json.loads(line)
            if fields is None:
                by_name = {field.attname: field for field in model._meta.concrete_fields}
                fields = [(name, by_name[name]) for name in values]
                continue
            pairs = zip(fields, values, strict=True)
            rows.append(model(**{name: _as_stored(field, value) for (name, field), value in pairs}))
        model._base_manager.bulk_create(rows)
        count += len(rows)
    return count


def _batches(lines: Iterable[bytes]) -> Iterator[list[bytes]]:
    batch: list[bytes] = []
    size = 0
    for line in lines:
        batch.append(line)
        size += len(line)
        if len(batch) >= _BATCH_ROWS or size >= _BATCH_CHARACTERS:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


def _as_stored(field: models.Field, value: Any) -> Any:
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value)
    if isinstance(field, models.DurationField):
        return timedelta(seconds=float(value))
    return field.target_field.to_python(value) if field.is_relation else field.to_python(value)


def stored_files() -> Iterator[str]:
    """Yield the names of the files that rows refer to, each once."""
    seen: set[str] = set()
    for model in kept_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, models.FileField):
                names = model._base_manager.exclude(**{field.attname: ""}).values_list(
                    field.attname, flat=True
                )
                for name in names.iterator():
                    if name not in seen:
                        seen.add(name)
                        yield name
