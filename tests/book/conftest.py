"""The day of the book's tests, and the desk."""

from collections.abc import Iterator

import pytest

from farmrecords.history import clock
from tests.book.desk import NOW, Desk


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def desk(db: None) -> Desk:
    return Desk()
