"""Ten failures hold an account, fifty a source, for a quarter of an hour (aims of security)."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.test import Client

from farmrecords.people.models import Person
from farmrecords.people.throttle import source_of
from tests import builders

pytestmark = pytest.mark.django_db
PASSWORD = "a long password"  # what the builders give everybody
HERE, THERE = "192.0.2.1", "198.51.100.7"


@pytest.fixture
def person() -> Person:
    return builders.make_person("ana")


def sign_in(source: str, username: str, password: str = PASSWORD, **more: str) -> Any:
    client = Client(REMOTE_ADDR=source, **more)
    return client.post("/sign-in/", {"username": username, "password": password})


def fail(times: int, source: str, username: str = "ana") -> list[int]:
    return [sign_in(source, username, "wrong").status_code for _n in range(times)]


def later(minutes: int) -> None:
    """Let the failures so far have happened that long ago."""
    for row in AccessAttempt.objects.all():
        moment = row.attempt_time - dt.timedelta(minutes=minutes)
        AccessAttempt.objects.filter(pk=row.pk).update(attempt_time=moment)


def test_after_ten_failures_even_the_right_password_has_to_wait(person):
    assert fail(10, HERE) == [200] * 9 + [429]
    refused = sign_in(HERE, "ana")
    assert refused.status_code == 429
    assert "Wait a quarter of an hour" in refused.content.decode()


def test_nine_failures_do_not_lock_anybody_out(person):
    fail(9, HERE)
    assert sign_in(HERE, "ana").status_code == 302


def test_failures_from_many_sources_count_together_against_the_account(person):
    codes = [fail(1, f"203.0.113.{n}")[0] for n in range(10)]
    assert codes == [200] * 9 + [429]
    assert sign_in("203.0.113.99", "ana").status_code == 429


def test_a_source_the_person_signed_in_from_stays_open_under_attack_from_elsewhere(person):
    assert sign_in(HERE, "ana").status_code == 302
    fail(10, THERE)
    assert sign_in(HERE, "ana").status_code == 302
    assert sign_in("192.0.2.2", "ana").status_code == 429


def test_a_known_source_is_held_by_its_own_failures(person):
    sign_in(HERE, "ana")
    assert fail(10, HERE)[-1] == 429


def test_one_account_under_attack_does_not_shut_out_another(person):
    builders.make_person("ben")
    fail(10, HERE)
    assert sign_in(HERE, "ben").status_code == 302


def test_fifty_failures_on_many_accounts_hold_the_source_and_no_other(person):
    codes = [fail(1, THERE, f"name{n}")[0] for n in range(50)]
    assert codes == [200] * 49 + [429]
    assert sign_in(THERE, "ana").status_code == 429
    assert sign_in(HERE, "ana").status_code == 302


def test_another_browser_of_the_same_source_is_the_same_source(person):
    for n in range(10):
        sign_in(HERE, "ana", "wrong", HTTP_USER_AGENT=f"browser {n}")
    assert sign_in(HERE, "ana", HTTP_USER_AGENT="yet another").status_code == 429


def test_after_a_quarter_of_an_hour_the_door_opens_whoever_knocked_meanwhile(person):
    fail(10, HERE)
    later(10)
    assert set(fail(5, HERE)) == {429}
    later(6)
    assert sign_in(HERE, "ana").status_code == 302


def test_before_the_quarter_of_an_hour_it_stays_closed(person):
    fail(10, HERE)
    later(14)
    assert sign_in(HERE, "ana").status_code == 429


def test_the_source_is_the_address_the_proxy_wrote_down(rf, settings):
    request = rf.get("/", REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR=f"{THERE}, {HERE}")
    assert source_of(request) == "127.0.0.1"
    settings.BEHIND_PROXY = True
    assert source_of(request) == HERE
    assert source_of(rf.get("/", REMOTE_ADDR="127.0.0.1")) == "127.0.0.1"
