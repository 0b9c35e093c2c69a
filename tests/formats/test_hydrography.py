"""Water maps by feature code (reference on data formats, section 4.2)."""

import pytest
from shapely.geometry import LineString

from farmrecords.formats.hydrography import sorted_waters, water_class
from farmrecords.formats.shapes import FeatureRow


def row(code, key="FCode"):
    return FeatureRow("x", "", {key: code}, LineString([(-89, 43), (-89, 43.1)]))


@pytest.mark.parametrize(
    ("code", "kind", "measured"),
    [
        (46006, "perennial stream", True),
        (46003, "intermittent stream", True),
        (46007, "ephemeral stream", True),
        (46099, "stream", True),
        (33600, "canal or ditch", True),
        (39004, "lake or pond", True),
        (43613, "reservoir", True),
        (43612, "sewage treatment pond", False),
        (46600, "swamp or marsh", True),
        (55800, "artificial path", False),
        (33400, "connector", False),
        (42801, "pipeline", False),
    ],
)
def test_a_code_says_what_it_is_and_whether_it_is_measured_to(code, kind, measured):
    found = water_class(code)
    assert (found.kind, found.measured) == (kind, measured)


@pytest.mark.parametrize("code", [0, -1, 99999, 12345])
def test_an_unknown_code_has_no_class(code):
    assert water_class(code) is None


def test_a_feature_without_a_known_code_is_kept_to_be_asked():
    rows = [row(46006), row("55800", "fcode"), row(99999), row(None), row(True), row("x")]
    waters = sorted_waters(rows)
    assert [r.kind for r in waters.measured] == ["perennial stream"]
    assert [r.kind for r in waters.passed_over] == ["artificial path"]
    assert len(waters.unknown) == 4
