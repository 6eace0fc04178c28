"""Rows that the database itself refuses to change or delete, whoever asks: triggers, written by migrations.

A later migration that lets SQLite build a sealed table anew has to seal it again: a table's triggers go with
it. What migrations have written must stay as it is: the names of the triggers and what they refuse.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import NotSupportedError
from django.db.migrations import RunPython


@dataclass(frozen=True, slots=True)
class Seal:
    """A table's rows against one event, "UPDATE" or "DELETE".

    `when` is the condition, in terms of the rows OLD and NEW, under which the event is refused; empty is
    always. `name` is that of the trigger, told from table and event unless given.
    """

    table: str
    event: str
    when: str = ""
    name: str = ""

    @property
    def trigger(self) -> str:
        return self.name or f"{self.table}_sealed_{self.event.lower()}"


def whole(*tables: str) -> tuple[Seal, ...]:
    """Return the seals of tables to which rows are added and nothing else."""
    return tuple(Seal(table, event) for table in tables for event in ("UPDATE", "DELETE"))


def changed(columns: Iterable[str]) -> str:
    """Return the condition that one of these columns would change."""
    return " OR ".join(f"OLD.{name} IS DISTINCT FROM NEW.{name}" for name in columns)


@dataclass(frozen=True, slots=True)
class Seals:
    """The seals that one migration writes; `text` is what the database says when it refuses."""

    text: str
    seals: tuple[Seal, ...]

    @property
    def names(self) -> frozenset[str]:
        """Return the names of the triggers."""
        return frozenset(each.trigger for each in self.seals)

    @property
    def operation(self) -> RunPython:
        """Return what a migration does to write them, and to take them off again."""
        return RunPython(self.seal, self.unseal)

    def seal(self, apps: Any, schema_editor: Any) -> None:
        connection = schema_editor.connection
        if connection.vendor not in ("sqlite", "postgresql"):
            raise NotSupportedError(f"No seals are written for {connection.vendor}.")
        with connection.cursor() as cursor:
            for each in self.seals:
                for statement in self._statements(each, connection.vendor):
                    cursor.execute(statement)

    def unseal(self, apps: Any, schema_editor: Any) -> None:
        connection = schema_editor.connection
        with connection.cursor() as cursor:
            for each in self.seals:
                if connection.vendor == "sqlite":
                    cursor.execute(f"DROP TRIGGER {each.trigger}")
                else:
                    cursor.execute(f"DROP TRIGGER {each.trigger} ON {each.table}")
                    cursor.execute(f"DROP FUNCTION {each.trigger}()")

    def _statements(self, each: Seal, vendor: str) -> tuple[str, ...]:
        head = f"CREATE TRIGGER {each.trigger} BEFORE {each.event} ON {each.table}"
        if vendor == "sqlite":
            # IS NOT says the same to every version of SQLite; IS DISTINCT FROM only to those since 3.39.
            told = each.when.replace("IS DISTINCT FROM", "IS NOT")
            when = f" WHEN {told}" if told else ""
            return (f"{head}{when} BEGIN SELECT RAISE(ABORT, '{self.text}'); END",)
        body = f"RAISE EXCEPTION '{self.text}';"
        if each.when:
            body = f"IF {each.when} THEN {body} END IF; RETURN NEW;"
        return (
            f"CREATE FUNCTION {each.trigger}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$",
            f"{head} FOR EACH ROW EXECUTE FUNCTION {each.trigger}()",
        )
