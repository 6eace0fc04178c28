"""Several at one moment: no number is given twice, nothing is issued twice. On a database file, as in use."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_no_number_is_given_twice(tmp_path):
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "specapp.config.test_settings",
        "DATABASE_URL": f"sqlite:///{tmp_path / 'db.sqlite3'}",
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
