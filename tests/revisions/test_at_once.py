"""Several at one moment: no number is given twice, nothing is issued twice.

On a database of its own of the kind that the tests run on, SQLite or PostgreSQL.
"""

import json
import os
import subprocess
import sys

from tests.operations.test_at_once import ROOT, database  # noqa: F401  a fixture


def test_no_number_is_given_twice(database):  # noqa: F811
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "specapp.config.test_settings",
        "DATABASE_URL": database,
    }
    done = subprocess.run(
        [sys.executable, "-m", "tests.revisions.at_once"],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    came = json.loads(done.stdout)
    assert came["same"] == ["None", "Refused", "Refused"]
    assert came["labels"] == ["B", "A"]
    assert came["apart"] == [None, None, None]
    assert came["twice"] == ["None", "Stale", "Stale"]
    assert came["numbers"] == [1, 2, 3, 4]
    assert came["received"] == [1, ["None", "None", "None"]]
    assert came["sent"] == [1, ["None", "Refused", "Refused"]]
