"""What every test may use: people, a browser when there is one, sample machines."""

import gc
import os
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.migrated import Migrated
from tests.sealing import clear_sealed

CHROMIUM_ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--force-color-profile=srgb",
]


# Whether an answer is right does not depend on how busy the computer is; its own profile for CI says so too.
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
if "CI" not in os.environ:
    settings.load_profile("patient")


def _chromium() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    # The longest first: then one process begins with the browser, and what is left in the end is short.
    items.sort(key=lambda item: "browser" not in item.keywords)
    missing = pytest.mark.skip(reason="no chromium on this computer (CI=true makes this a failure)")
    for item in items:
        if "browser" in item.keywords and _chromium() is None and os.environ.get("CI") != "true":
            item.add_marker(missing)


def pytest_collection_finish():
    # What was imported and collected stays: it need not be searched for waste again and again.
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def migrated(request, tmp_path_factory, django_db_modify_db_settings, django_db_blocker):
    """Return the migrated database to make copies of; the tests' own is the first."""
    cache = getattr(request.config, "cache", None)
    migrated = Migrated(Path(cache.mkdir("migrated")) if cache else tmp_path_factory.getbasetemp())
    with django_db_blocker.unblock():
        migrated.lend()
    yield migrated
    migrated.close()


@pytest.fixture(scope="session")
def django_db_setup(migrated, django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        migrated.keep()


@pytest.fixture
def unsealed_after(transactional_db):
    """Let what a test with real transactions has issued, received or kept be cleared away after it."""
    yield
    clear_sealed()


def pytest_configure(config):
    # The browser driver runs an event loop in the test's thread, which Django takes for async code.
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    path = _chromium()
    if path is None:
        pytest.fail("CI=true and no chromium: install it, these tests must run")
    return {**browser_type_launch_args, "executable_path": path, "args": CHROMIUM_ARGUMENTS}
