"""Backup and restore: everything comes back as it was, and nothing is touched by a file that is not sound."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection, transaction

from specapp.core.audit import chain_verify
from specapp.core.backup import archive
from specapp.core.backup.errors import BackupRefused
from specapp.core.backup.restoring import backup_restore
from specapp.core.backup.rows import kept_models, rows_write
from specapp.core.backup.writing import backup_write
from specapp.core.models import AuditEntry
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Machine, Override
from specapp.review.attachments import paper_of
from specapp.review.models import Comment
from specapp.review.services.comments import comment_attach
from specapp.revisions.models import IssuedDocument
from tests.api.asking import token_for
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.references.filled import registered, with_file
from tests.review.commenting import commented
from tests.revisions.issuing import frozen, sent, signed

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("unsealed_after")]
ROOT = Path(__file__).resolve().parents[2]
RECORD = {"core.auditentry", "core.audithead"}


@pytest.fixture
def machine():
    """Return a machine of a project in which people have done a bit of everything."""
    project = ProjectFactory()
    engineer = member(project, "ENGINEER")
    machine = machine_of(project, author=engineer, title="Zürich, 3 µm ≤ x")
    override_set(
        machine=machine,
        expected_version=1,
        item="BG/B1/radial",
        field="trip",
        value=40.5,
        reason="a test",
        author=engineer,
        now=NOW.replace(microsecond=123457),
    )
    comment = commented(machine, author=engineer)
    comment_attach(comment=comment, paper=paper_of("a.txt", b"kept"), author=engineer, now=NOW)
    revision = frozen(machine, author=engineer)
    signed(revision)
    sent([revision])
    token_for(project, engineer)
    machine.file = with_file(registered(project, machine)).file
    return machine


def everything():
    """Return the rows of every table that a backup keeps, but for the record."""
    found = {}
    for model in kept_models():
        if model._meta.label_lower not in RECORD:
            file = io.BytesIO()
            rows_write(model, file)
            found[model._meta.label_lower] = file.getvalue()
    return found


def record():
    return list(AuditEntry.objects.order_by("pk").values_list("pk", "digest"))


def changed(path, to, **facts):
    """Write another backup whose manifest says something else, with a fitting checksum."""
    with ZipFile(path) as source, archive.begin(to) as target:
        manifest = json.loads(source.read(archive.MANIFEST)) | facts
        for name in source.namelist():
            label = name.removeprefix("rows/").removesuffix(".jsonl")
            if name != archive.MANIFEST and (not name.startswith("rows/") or label in manifest["rows"]):
                target.writestr(name, source.read(name))
        target.writestr(archive.MANIFEST, json.dumps(manifest))
    archive.seal(to)
    return to


def manifest_of(path):
    with ZipFile(path) as source:
        return json.loads(source.read(archive.MANIFEST))


def test_everything_comes_back_as_it_was(machine, tmp_path):
    before, entries = everything(), record()
    name, content = machine.file.name, machine.file.open().read()
    file = tmp_path / "a.backup"
    written = backup_write(file, NOW)
    assert file.stat().st_mode & 0o077 == 0
    assert not written.missing
    assert written.files == 1
    Comment.objects.all().delete()
    Override.objects.update(value=1)
    Machine.objects.update(description={})
    default_storage.delete(name)
    with pytest.raises(BackupRefused, match="--replace"):
        backup_restore(file, replace=False, now=NOW)
    assert not Comment.objects.exists()
    restored = backup_restore(file, replace=True, now=NOW)
    assert restored.digest == written.digest
    assert not restored.record
    assert everything() == before
    assert default_storage.open(name).read() == content
    after = AuditEntry.objects.order_by("pk")
    assert record()[: len(entries)] == entries
    assert [entry.action for entry in after[len(entries) :]] == ["backup.restore"]
    assert not chain_verify().reason
    with pytest.raises(DatabaseError, match="never changes"), transaction.atomic():
        IssuedDocument.objects.update(title="another")
    # The next rows get numbers of their own.
    assert commented(machine).number == 2


def test_a_backup_fills_an_empty_database(machine, tmp_path):
    before = everything()
    file = tmp_path / "a.backup"
    call_command("backup", file, stdout=io.StringIO())
    with pytest.raises(CommandError, match="free"):
        call_command("backup", file)
    backup_restore(changed(file, tmp_path / "nothing", rows={}, files=[]), replace=True, now=NOW)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM core_auditentry")
        cursor.execute("DELETE FROM core_audithead")
    call_command("restore", file, stdout=io.StringIO())
    assert everything() == before


@pytest.mark.parametrize("harm", ["bit", "cut", "end", "other", "none"])
def test_a_damaged_file_is_refused_and_nothing_is_changed(harm, tmp_path):
    member(ProjectFactory(), "OWNER")
    file = tmp_path / "a.backup"
    backup_write(file, NOW)
    before, data = record(), bytearray(file.read_bytes())
    if harm == "bit":
        data[len(data) // 2] ^= 1
    elif harm == "end":
        data[-1] ^= 1
    file.write_bytes({"cut": data[:-7], "other": b"PK other"}.get(harm, data))
    if harm == "none":
        file.unlink()
    with pytest.raises(BackupRefused):
        backup_restore(file, replace=True, now=NOW)
    assert record() == before


def test_what_does_not_fit_is_refused_and_nothing_is_changed(tmp_path):
    member(ProjectFactory(), "OWNER")
    file = tmp_path / "a.backup"
    backup_write(file, NOW)
    before, told = (everything(), record()), manifest_of(file)
    for number, (facts, text) in enumerate(
        [
            ({"migrations": [*told["migrations"], ["core", "9999_later"]]}, "later version"),
            ({"format": "backup/2"}, "backup/2"),
            ({"migrations": told["migrations"][1:]}, "earlier version"),
            ({"rows": told["rows"] | {"core.user": 7}}, "core.user"),
            ({"rows": {k: v for k, v in told["rows"].items() if k != "core.user"}}, "refer to rows"),
        ]
    ):
        with pytest.raises(BackupRefused, match=text):
            backup_restore(changed(file, tmp_path / str(number), **facts), replace=True, now=NOW)
        assert (everything(), record()) == before


def manage(url, folder, *arguments):
    """Run a command of another installation, with its own database."""
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "specapp.config.settings",
            "DATABASE_URL": url,
            "SPECAPP_VAR_DIR": str(folder),
        },
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_an_earlier_backup_comes_into_a_new_database_of_the_other_kind_too(machine, tmp_path):
    """As of before the tables of tokens: brought to that state, filled, then brought up to date."""
    file = tmp_path / "a.backup"
    backup_write(file, NOW)
    told = manifest_of(file)
    earlier = changed(
        file,
        tmp_path / "earlier",
        migrations=[each for each in told["migrations"] if each[0] != "api"],
        rows={label: count for label, count in told["rows"].items() if not label.startswith("api.")},
    )
    url = f"sqlite:///{tmp_path / 'new.sqlite3'}"
    said = manage(url, tmp_path / "new", "restore", str(earlier))
    assert "files: 1" in said
    assert (tmp_path / "new" / "media" / machine.file.name).read_bytes() == machine.file.open().read()
    # And back again: what another installation writes, this one reads, whatever kind its database is.
    manage(url, tmp_path / "new", "backup", str(tmp_path / "back"))
    before = everything() | {"api.apitoken": None}
    backup_restore(tmp_path / "back", replace=True, now=NOW)
    after = everything() | {"api.apitoken": None}
    assert not chain_verify().reason
    assert {label: rows for label, rows in after.items() if label not in _BY_ITSELF} == {
        label: rows for label, rows in before.items() if label not in _BY_ITSELF
    }


# Their numbers depend on the order in which tables came to be.
_BY_ITSELF = {"contenttypes.contenttype", "auth.permission"}
