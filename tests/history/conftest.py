import pytest

from tests.history.farms import Farm


@pytest.fixture
def farm(db):
    return Farm()
