"""The demonstration for tests.

`demo_site` serves it from a folder of its own, built once a run, for tests with a browser or with
plain requests. `load_demo()` writes it into the database of the test itself: slow, so use it
sparingly.

    from tests.demo_site import demo_site  # noqa: F401

    def test_the_log_opens(demo_site, page):
        demo_site.sign_in_as(page, "office.marlow")
        page.goto(demo_site.url + "/o/marlow-brook/")
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from fixtures.demo import DAY, PASSWORD

ROOT = Path(__file__).resolve().parent.parent
LONGEST_BUILD_S = 280
OF_THE_SERVER = ("DATABASE_URL", "SECRET_KEY", "ALLOWED_HOSTS", "FARMRECORDS_DAY", "DEBUG")


@dataclass(frozen=True)
class DemoSite:
    """The served demonstration: its address, its data folder, and how to sign in."""

    url: str
    data: Path

    def sign_in_as(self, page: Any, username: str) -> None:
        """Sign a browser page in; whoever was signed in before is forgotten."""
        page.context.clear_cookies()
        page.goto(f"{self.url}/sign-in/")
        page.fill("input[name=username]", username)
        page.fill("input[name=password]", PASSWORD)
        page.click("main form button")
        page.wait_for_url(lambda url: "/sign-in/" not in url)


def load_demo() -> None:
    """Write the three farms into the current database; the clock is the caller's affair."""
    from fixtures.demo import loading

    loading.load()


@pytest.fixture(scope="session")
def demo_site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoSite]:
    """The demonstration on a free port of this machine, with its own SQLite folder."""
    data = tmp_path_factory.mktemp("demo")
    shutil.copytree(_built(tmp_path_factory), data, dirs_exist_ok=True)
    with served(data) as site:
        yield site


def _built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The loaded folder, built by the first worker that asks; the others wait for it."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    built, done = shared / "demo-built", shared / "demo-built.done"
    try:
        built.mkdir()
    except FileExistsError:
        _wait(done.exists, "the demonstration to be built by another worker")
        return built
    run = subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve"],
        cwd=ROOT, env=_env(built), capture_output=True, text=True, timeout=LONGEST_BUILD_S,
        check=False,
    )  # fmt: skip
    assert run.returncode == 0, f"manage.py demo failed:\n{run.stdout}\n{run.stderr}"
    done.touch()
    return built


@contextlib.contextmanager
def served(data: Path) -> Iterator[DemoSite]:
    """Serve a loaded folder with the command's own server and worker."""
    port = free_port()
    said = data / "server.txt"
    with said.open("w") as out:
        child = subprocess.Popen(
            [sys.executable, "manage.py", "demo", "--port", str(port)],
            cwd=ROOT, env=_env(data), stdout=out, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        url = f"http://127.0.0.1:{port}"
        _wait(lambda: _answers(url) or child.poll() is not None, f"the server at {url}")
        assert child.poll() is None, f"manage.py demo ended:\n{said.read_text()}"
        yield DemoSite(url, data)
    finally:
        child.terminate()
        try:
            child.wait(timeout=20)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _env(data: Path) -> dict[str, str]:
    env = {name: value for name, value in os.environ.items() if name not in OF_THE_SERVER}
    return env | {"FARMRECORDS_DATA": str(data), "PYTHONUNBUFFERED": "1"}


def _answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(f"{url}/sign-in/", timeout=5) as answer:
            return answer.status == 200
    except (urllib.error.URLError, OSError):
        return False


def _wait(arrived: Any, what: str) -> None:
    until = time.monotonic() + LONGEST_BUILD_S
    while not arrived():
        if time.monotonic() > until:
            raise TimeoutError(f"Waited {LONGEST_BUILD_S} s for {what}.")
        time.sleep(0.2)


__all__ = ["DAY", "PASSWORD", "DemoSite", "demo_site", "free_port", "load_demo", "served"]
