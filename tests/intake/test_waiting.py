"""A large file waits apart until it is read: nothing of an unreadable one stays."""

import datetime as dt
import os

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.history import clock
from farmrecords.history.models import KeptFile
from farmrecords.intake import tasks, waiting
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import IncomingFile, Work
from tests import builders

NOW = dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def _own_place(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with clock.standing_at(NOW):
        yield


def files_in(folder):
    return [path for path in folder.rglob("*") if path.is_file()]


def test_a_file_laid_aside_is_taken_up_once(tmp_path):
    name = waiting.lay_aside(b"bytes")
    with waiting.taken_up(name) as data:
        assert data == b"bytes"
    assert files_in(tmp_path) == []
    with pytest.raises(FormatError, match="not here any more"), waiting.taken_up(name):
        pass


def test_what_a_broken_worker_left_goes_after_two_days(tmp_path):
    old, young = waiting.lay_aside(b"old"), waiting.lay_aside(b"young")
    folder = tmp_path / "waiting"
    at = NOW.timestamp() - waiting.KEPT_S
    os.utime(folder / old, (at - 1, at - 1))
    os.utime(folder / young, (at, at))
    waiting.lay_aside(b"next")
    assert not (folder / old).exists()
    assert (folder / young).exists()


@pytest.mark.parametrize("name", ["../../x", "", "x" * 32])
def test_a_name_that_is_none_of_ours_opens_nothing(name):
    with pytest.raises(ValueError, match=r"UUID|invalid"), waiting.taken_up(name):
        pass


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("data", "state", "left"),
    [(b"no weather\n", "failed", 0), (b"Date,Rain (in)\n2026-04-20,1\n", "done", 1)],
)  # fmt: skip
def test_only_a_file_that_could_be_read_is_kept(tmp_path, data, state, left):
    seat = builders.make_seat(builders.make_operation())
    work = tasks.read_later(seat, kind_named("gauge"), "gauge.csv", data)
    (laid,) = files_in(tmp_path)
    tasks.read_file.call(
        str(work.pk), str(seat.person.pk), seat.operation.slug, "gauge", "gauge.csv", laid.name
    )
    assert Work.objects.get(pk=work.pk).state == state
    assert len(files_in(tmp_path)) == left
    assert KeptFile.objects.filter(original_name="gauge.csv").count() == left
    assert IncomingFile.objects.count() == left
