"""Chromium as the system has it, and the demonstration it looks at."""

from __future__ import annotations

import os
import shutil
from typing import Any

import pytest

from tests.demo_site import demo_site  # noqa: F401

QUIET = (
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
)


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser of the system; nothing is downloaded. Its absence fails where CI is set."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not found:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("no chromium")
    # The browser's driver keeps an event loop in this thread, which Django would take for its own.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    return str(found)


@pytest.fixture(scope="session")
def browser_type_launch_args(chromium: str) -> dict[str, Any]:
    root = ["--no-sandbox"] if os.geteuid() == 0 else []
    return {"executable_path": chromium, "args": [*QUIET, *root]}


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": {"width": 1280, "height": 900}, "locale": "en-US", "timezone_id": "UTC"}
