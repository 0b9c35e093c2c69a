"""What every test needs: the log's triggers stand aside while a test database is emptied."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import TransactionTestCase, override_settings
from django.utils import timezone, translation
from hypothesis import settings as hypothesis_settings

from farmrecords.history import guards

# Time is held in benchmarks as ratios, never in unit tests; a busy machine proves nothing.
hypothesis_settings.register_profile("records", deadline=None)
hypothesis_settings.load_profile("records")


@pytest.fixture(scope="session", autouse=True)
def _emptying_a_test_database_is_allowed() -> Iterator[None]:
    """Tests with real transactions empty the tables afterwards; the log would refuse it."""
    empty = TransactionTestCase._fixture_teardown

    def emptied(case: TransactionTestCase) -> None:
        with connection.schema_editor() as editor:
            guards.remove(editor)
        try:
            empty(case)
        finally:
            with connection.schema_editor() as editor:
                guards.install(editor)

    TransactionTestCase._fixture_teardown = emptied
    yield
    TransactionTestCase._fixture_teardown = empty


@pytest.fixture(scope="session", autouse=True)
def _passwords_are_hashed_quickly() -> Iterator[None]:
    """Tests make many persons; the slow hash of real use would take most of their time."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(autouse=True)
def _each_test_begins_in_english_and_utc() -> Iterator[None]:
    """A page that spoke another language or another clock leaves nothing behind."""
    translation.activate("en")
    timezone.deactivate()
    yield
    translation.activate("en")
    timezone.deactivate()
