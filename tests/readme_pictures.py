"""Renew the pictures of the README from the demonstration: `python -m tests.readme_pictures`.

Starts the demonstration in a folder of its own, signs in with Debian's chromium and photographs pages.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Page, sync_playwright

from tests.conftest import CHROMIUM_ARGUMENTS

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "fixtures" / "pictures"
PORT = 8391
BASE = f"http://127.0.0.1:{PORT}"
START_SECONDS = 90


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        settings = os.environ | {"SPECAPP_VAR_DIR": folder}
        server = subprocess.Popen(
            [sys.executable, "manage.py", "demo", "--port", str(PORT)],
            cwd=ROOT,
            env=settings,
            stdout=subprocess.DEVNULL,
        )
        try:
            _wait()
            password = (Path(folder) / "demo_password").read_text(encoding="utf-8").strip()
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path="/usr/bin/chromium", args=CHROMIUM_ARGUMENTS
                )
                _photograph(browser.new_page(viewport={"width": 1440, "height": 900}), password)
                browser.close()
        finally:
            server.terminate()
            server.wait()


def _wait() -> None:
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until:
        try:
            urlopen(f"{BASE}/sign-in/", timeout=2)
        except (URLError, OSError):
            time.sleep(0.5)
        else:
            return
    raise SystemExit(f"the demonstration did not answer within {START_SECONDS} s")


def _photograph(page: Page, password: str) -> None:
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.goto(f"{BASE}/")
    page.fill("input[name=username]", "keller")
    page.fill("input[name=password]", password)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{BASE}/")
    page.click("main table a >> nth=0")
    page.wait_for_load_state()
    page.screenshot(path=PICTURES / "project.png")
    page.click("main table a:text-matches('K-8010')")
    page.wait_for_load_state()
    page.screenshot(path=PICTURES / "proposal.png")
    page.click("a:text('Drawings')")
    page.wait_for_load_state()
    page.screenshot(path=PICTURES / "drawings.png")


if __name__ == "__main__":
    main()
