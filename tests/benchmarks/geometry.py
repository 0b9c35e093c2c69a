"""How long the ground of many loads takes: ``python -m tests.benchmarks.geometry [--short]``.

Aims, with the bare chain timed in the same run: 2,000 loads of 200 points against 500 features at
most twice what pyproj and shapely alone need; one changed load within 40 ms of processor time; at
most 1 GiB of memory. The bare chain makes the same facts with bare calls: projects, simplifies,
widens, goes back to degrees, takes the geodesic acres and what lies outside the field, and asks for
distances within 1,500 ft. The chain up to the distances without acres is printed beside it.
"""

from __future__ import annotations

import datetime as dt
import os
import resource
import sys
import time
from typing import Any

import numpy as np
import shapely

LOADS, POINTS, FEATURES = 2_000, 200, 500
TIMES, ONE_LOAD_MS, MOST_MIB = 2.0, 40.0, 1024
SHORT_SLACK = 1.5  # the short form runs on shared machines and finds what got twice as slow
CENTRE = (-89.5, 43.0)
WIDTH_M, WITHIN_M = 9.144, 457.2
DAY = dt.date(2026, 4, 20)


def serpentines(count: int, rng: np.random.Generator) -> list[np.ndarray[Any, Any]]:
    """Tracks in metres: five passes of 40 points each, a tenth of the width overlapping."""
    found = []
    for _ in range(count):
        start = rng.uniform(-3000, 3000, 2)
        along = np.linspace(0, 200, POINTS // 5)
        passes = [
            np.column_stack([np.full(len(along), i * 8.2), along if i % 2 == 0 else along[::-1]])
            for i in range(5)
        ]
        found.append(start + np.concatenate(passes) + rng.normal(0, 0.2, (POINTS, 2)))
    return found


def lines(count: int, rng: np.random.Generator) -> list[np.ndarray[Any, Any]]:
    """Features in metres: crooked lines of 20 points."""
    return [
        rng.uniform(-3500, 3500, 2) + np.cumsum(rng.normal(0, 40, (20, 2)), axis=0)
        for _ in range(count)
    ]


def bare(
    tracks: list[np.ndarray[Any, Any]], features: list[np.ndarray[Any, Any]], *, acres: bool
) -> float:
    """Processor seconds of the chain without this project's code; all in longitude and latitude."""
    from pyproj import Geod, Transformer

    flat = Transformer.from_crs(
        4326, f"+proj=tmerc +lat_0={CENTRE[1]} +lon_0={CENTRE[0]} +ellps=WGS84", always_xy=True
    )
    geod = Geod(ellps="WGS84")
    start = time.process_time()
    placed = [np.column_stack(flat.transform(t[:, 0], t[:, 1])) for t in tracks]
    rows = shapely.simplify(np.array([shapely.linestrings(t) for t in placed]), 0.25)
    swaths = shapely.buffer(rows, WIDTH_M / 2, quad_segs=8, cap_style="flat")
    if acres:
        field = shapely.box(-3300, -3300, 3300, 3300)
        for swath in swaths:
            back = shapely.transform(
                swath, lambda x, y: flat.transform(x, y, direction="INVERSE"), interleaved=False
            )
            geod.geometry_area_perimeter(shapely.geometry.polygon.orient(back))
            swath.difference(field)
            shapely.to_geojson(back)
    waters = np.array(
        [shapely.linestrings(np.column_stack(flat.transform(f[:, 0], f[:, 1]))) for f in features]
    )
    tree = shapely.STRtree(waters)
    at, to = tree.query(swaths, predicate="dwithin", distance=WITHIN_M)
    shapely.distance(swaths[at], waters[to])
    return time.process_time() - start


class World:
    """A farm in a database of its own memory, with its loads and features."""

    def __init__(self, count: int, feature_count: int) -> None:
        from farmrecords.calculations.geodesy import LocalPlane
        from farmrecords.history import write
        from farmrecords.loads import tracks
        from farmrecords.loads.models import Load
        from tests import builders

        rng = np.random.default_rng(20260420)
        plane = LocalPlane(*CENTRE)
        self.tracks = [plane.to_lonlat(t) for t in serpentines(count, rng)]
        self.features = [plane.to_lonlat(f) for f in lines(feature_count, rng)]
        self.operation = builders.make_operation("bench")
        ring = plane.to_lonlat(np.array([[-3300, -3300], [3300, -3300], [3300, 3300],
                                         [-3300, 3300], [-3300, -3300]]))  # fmt: skip
        boundary = {"type": "Polygon", "coordinates": [ring.tolist()]}
        self.field = builders.make_field(self.operation, "1", boundary)
        self.pit = builders.make_storage(self.operation)
        self.spreader = builders.make_spreader(self.operation)
        for i, line in enumerate(self.features):
            builders.make_feature(
                self.operation, "ditch", {"type": "LineString", "coordinates": line.tolist()},
                name=f"Ditch {i}",
            )  # fmt: skip
        noon = dt.datetime.combine(DAY, dt.time(12), dt.UTC)
        rows = []
        for i, track in enumerate(self.tracks):
            points = [
                (noon + dt.timedelta(seconds=4 * j), float(x), float(y), True)
                for j, (x, y) in enumerate(track)
            ]
            sha = tracks.keep_track([points], source="receiver")
            rows.append(self._load(noon + dt.timedelta(minutes=i), sha))
        with write.change(by=builders.actor(), channel="import") as change:
            change.create_many(rows)
        self.loads = list(Load.objects.filter(operation=self.operation))

    def _load(self, start: dt.datetime, sha256: str) -> tuple[Any, dict[str, list[Any]]]:
        from farmrecords.loads.models import Load, LoadDraw, LoadPart

        load = Load(
            operation=self.operation, local_day=DAY, method="surface", measured_by="rated",
            amount_text="6000", amount_unit="gal", amount_milli=6_000_000, amount_kind="gal",
            crop_year=2026, started_at=start, started_offset_min=-240, spreader=self.spreader,
        )  # fmt: skip
        part = LoadPart(field=self.field, number=1, amount_milli=6_000_000, track_sha256=sha256)
        draw = LoadDraw(storage=self.pit, number=1, amount_milli=6_000_000)
        return load, {"parts": [part], "draws": [draw]}


def recheck(world: World) -> float:
    """Processor seconds of the ground and distances of all loads, as the facts work them out.

    Rows and tracks are read before: this is the geometry alone.
    """
    from functools import lru_cache

    from django.db.models import prefetch_related_objects

    from farmrecords.loads import tracks
    from farmrecords.loads.facts import Land, _computed

    tracks.track_of = lru_cache(maxsize=LOADS)(tracks.track_of.__wrapped__)
    prefetch_related_objects(world.loads, "parts", "spreader")
    for load in world.loads:
        for part in load.parts.all():
            tracks.track_of(part.track_sha256)
    land = Land(world.operation)
    marks = {load.pk: "" for load in world.loads}
    start = time.process_time()
    _computed(land, world.loads, marks)
    return time.process_time() - start


def one_changed(world: World) -> float:
    """Processor milliseconds to renew the facts of one load, database included; the median of 9."""
    from farmrecords.loads import facts
    from farmrecords.loads.models import Load, LoadFacts

    found = []
    for load in world.loads[:9]:
        LoadFacts.objects.filter(load=load).update(fingerprint="", load_rev=0)
        fresh = Load.objects.select_related("operation").get(pk=load.pk)
        start = time.process_time()
        facts.renew([fresh])
        found.append((time.process_time() - start) * 1000)
    return sorted(found)[len(found) // 2]


def main() -> int:
    """Print the figures; 1 when an aim is missed."""
    short = "--short" in sys.argv
    share, slack = (10, SHORT_SLACK) if short else (1, 1.0)
    with _database():
        world = World(LOADS // share, FEATURES)
        floor = min(bare(world.tracks, world.features, acres=True) for _ in range(2))
        least = min(bare(world.tracks, world.features, acres=False) for _ in range(2))
        whole = recheck(world)
        one = one_changed(world)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    times = whole / floor
    told = (
        f"{len(world.loads)} loads x {POINTS} points, {FEATURES} features: {whole:.2f} s, bare "
        f"chain {floor:.2f} s ({least:.2f} s without acres), {times:.2f} times; "
        f"one changed load {one:.1f} ms; {memory:.0f} MiB"
    )
    print(told)  # noqa: T201
    return int(times > TIMES * slack or one > ONE_LOAD_MS * slack or memory > MOST_MIB)


def _database() -> Any:
    """A throw-away database in memory, with the tracks kept in a folder that goes with it."""
    import tempfile
    from contextlib import contextmanager

    folder = tempfile.TemporaryDirectory()
    os.environ["FARMRECORDS_DATA"] = folder.name
    os.environ["DATABASE_URL"] = "sqlite://:memory:"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmrecords.settings")
    import django

    django.setup()

    @contextmanager
    def opened() -> Any:
        from django.core.management import call_command
        from django.test.utils import override_settings

        call_command("migrate", verbosity=0)
        hashers = ["django.contrib.auth.hashers.MD5PasswordHasher"]
        with folder, override_settings(PASSWORD_HASHERS=hashers):
            yield

    return opened()


if __name__ == "__main__":
    sys.exit(main())
