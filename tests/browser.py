"""A browser for the tests: an installed Chromium, headless, and the service under test at an address."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Thread
from typing import TYPE_CHECKING

from playwright.sync_api import Browser, sync_playwright
from werkzeug.serving import WSGIRequestHandler, make_server

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIApplication

ELSEWHERE = "baywright.example"
"""A name for the service that is not this machine's own: what comes from there by http is not secure."""

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
"""The one without windows takes half of the processor's time."""

FLAGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--host-resolver-rules=MAP {ELSEWHERE} 127.0.0.1",
]


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser with an empty profile; raises RuntimeError when there is none."""
    binary = next(filter(_is_browser, NAMES), None)
    if binary is None:
        raise RuntimeError("These tests need Chromium (on Debian: apt-get install chromium-headless-shell).")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which(binary), chromium_sandbox=False, args=FLAGS
        )
        try:
            yield browser
        finally:
            browser.close()


def _is_browser(name: str) -> bool:
    """Whether it is installed; a script that only says how to install it is none."""
    binary = shutil.which(name)
    if binary is None:
        return False
    said = subprocess.run([binary, "--version"], capture_output=True, text=True, check=False)
    return said.returncode == 0 and "Chromium" in said.stdout


class _Silent(WSGIRequestHandler):
    def log(self, *_: object) -> None:
        """Say nothing of requests: the service has its own log."""


@contextmanager
def serving(app: WSGIApplication) -> Iterator[int]:
    """The port of this machine at which `app` answers while the block runs."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Silent)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield server.port
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
