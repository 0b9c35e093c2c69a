"""The command loads and serves the demonstration; pages answer on its fixed day."""

from __future__ import annotations

import http.cookiejar
import re
import subprocess
import sys
import urllib.parse
import urllib.request

from tests.demo_site import PASSWORD, ROOT, _env, demo_site  # noqa: F401


def _signed_in(url: str, username: str) -> tuple[urllib.request.OpenerDirector, str]:
    jar = http.cookiejar.CookieJar()
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))
    form = opener.open(f"{url}/sign-in/").read().decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', form)
    assert token is not None
    given = {"username": username, "password": PASSWORD, "csrfmiddlewaretoken": token.group(1)}
    data = urllib.parse.urlencode(given).encode()
    answer = opener.open(f"{url}/sign-in/", data)
    return opener, answer.read().decode()


def test_each_role_signs_in(demo_site):  # noqa: F811
    for username in ("owner.marlow", "crew.cedar", "planner.lindqvist", "inspector.md"):
        _opener, page = _signed_in(demo_site.url, username)
        assert 'name="password"' not in page


def test_a_port_that_is_taken_is_named_with_the_remedy(demo_site):  # noqa: F811
    port = demo_site.url.rsplit(":", 1)[1]
    run = subprocess.run(
        [sys.executable, "manage.py", "demo", "--port", port],
        cwd=ROOT, env=_env(demo_site.data), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 1
    assert f"Port {port} cannot be used" in run.stderr
    assert "--port" in run.stderr


def test_it_is_not_loaded_where_a_secret_key_tells_of_real_use(tmp_path):
    env = _env(tmp_path) | {"SECRET_KEY": "x" * 60, "ALLOWED_HOSTS": "localhost"}
    run = subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve"],
        cwd=ROOT, env=env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 1
    assert "SECRET_KEY is set" in run.stderr
