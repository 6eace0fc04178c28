"""Without any variable the settings are for local use; production insists on its secret and hosts."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher

from specapp.config import settings

ROOT = Path(__file__).resolve().parents[2]
SECRET = "s3cret-" * 12


def check(tmp_path, *arguments, **variables):
    environment = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    return subprocess.run(
        [sys.executable, "manage.py", "check", *arguments],
        cwd=ROOT,
        env={**environment, "SPECAPP_VAR_DIR": str(tmp_path), **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def test_local_use_needs_nothing_and_keeps_its_own_secret(tmp_path):
    folder = tmp_path / "a folder with blanks"
    first = check(folder)
    assert first.returncode == 0, first.stderr
    kept = (folder / "secret_key").read_text()
    assert len(kept) >= 50
    assert (folder / "secret_key").stat().st_mode & 0o077 == 0
    assert check(folder).returncode == 0
    assert (folder / "secret_key").read_text() == kept


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ({"SPECAPP_ALLOWED_HOSTS": "specification.example"}, "SPECAPP_SECRET_KEY"),
        ({"SPECAPP_SECRET_KEY": SECRET}, "SPECAPP_ALLOWED_HOSTS"),
    ],
)
def test_production_names_what_is_missing_and_does_not_start(tmp_path, given, missing):
    result = check(tmp_path, SPECAPP_ENV="production", **given)
    assert result.returncode != 0
    assert f"{missing} is not set" in result.stderr


def test_production_passes_the_deployment_checks(tmp_path):
    result = check(
        tmp_path,
        "--deploy",
        "--fail-level",
        "WARNING",
        SPECAPP_ENV="production",
        SPECAPP_SECRET_KEY="kQ7f0Zt-" * 8,
        SPECAPP_ALLOWED_HOSTS="specification.example",
    )
    assert result.returncode == 0, result.stderr


@pytest.mark.parametrize(
    "variables", [{"SPECAPP_ENV": "staging"}, {"SPECAPP_ENV": "production", "SPECAPP_DEBUG": "1"}]
)
def test_unknown_surroundings_and_debug_in_production_are_refused(tmp_path, variables):
    assert check(tmp_path, **variables).returncode != 0


def test_passwords_are_kept_by_argon2_and_saves_reach_the_disk():
    assert settings.PASSWORD_HASHERS[0].endswith("Argon2PasswordHasher")
    kept = Argon2PasswordHasher().encode("a-long-enough-password", "salt-of-a-test")
    assert kept.startswith("argon2$argon2id$")
    assert Argon2PasswordHasher().verify("a-long-enough-password", kept)
    assert "synchronous=FULL" in settings.SQLITE_OPTIONS["init_command"]


@pytest.mark.parametrize(("mail_from", "starts"), [("specification@plant.example", True), ("nobody", False)])
def test_a_mail_server_needs_an_address_to_send_from(tmp_path, mail_from, starts):
    result = check(tmp_path, SPECAPP_MAIL_URL="smtp+tls://a:b@mail.example:587", SPECAPP_MAIL_FROM=mail_from)
    assert (result.returncode == 0) == starts
