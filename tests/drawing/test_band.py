"""The year band: where a day stands, how high a load, what is hatched."""

from datetime import date, timedelta

import pytest
from reportlab.graphics.shapes import Drawing, Line, PolyLine, String

from farmrecords.drawing import ClosedWindow, LevelReading, LoadTick, Period, year_band
from farmrecords.drawing.band import EDGE, FOOT, HEAD, band_axis
from farmrecords.drawing.ink import ACCENT, INK, SOFT

WIDTH, HEIGHT = 720.0, 92.0
STRIP = HEIGHT - HEAD - FOOT


def strokes(drawing: Drawing, colour: object, dashed: bool = False) -> list[Line]:
    return [
        shape
        for shape in drawing.contents
        if type(shape) is Line
        and shape.strokeColor is colour
        and bool(shape.strokeDashArray) is dashed
    ]


def ticks(drawing: Drawing) -> list[Line]:
    """Upright strokes of ink that stand on the strip's floor and rise from it."""
    return [s for s in strokes(drawing, INK) if s.x1 == s.x2 and s.y1 == FOOT and s.y2 > FOOT]


def words(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.contents if isinstance(shape, String)]


@pytest.mark.parametrize("year", [2025, 2024], ids=["365 days", "leap year, 366 days"])
def test_the_first_day_begins_at_the_left_edge_and_the_last_ends_at_the_right(year: int) -> None:
    axis = band_axis(year, WIDTH)
    assert axis.start_of(date(year, 1, 1)) == EDGE
    assert axis.start_of(date(year + 1, 1, 1)) == pytest.approx(WIDTH - EDGE)
    ends = [LoadTick(date(year, 1, 1), 10), LoadTick(date(year, 12, 31), 10)]
    first, last = ticks(year_band(year, ends, width=WIDTH, height=HEIGHT))
    assert first.x1 - EDGE == pytest.approx(axis.day_width / 2)
    assert WIDTH - EDGE - last.x1 == pytest.approx(axis.day_width / 2)


def test_a_leap_year_has_one_day_more_in_the_same_width() -> None:
    assert band_axis(2025, WIDTH).day_width == pytest.approx((WIDTH - 2 * EDGE) / 365)
    assert band_axis(2024, WIDTH).day_width == pytest.approx((WIDTH - 2 * EDGE) / 366)
    leap = band_axis(2024, WIDTH)
    between = leap.start_of(date(2024, 3, 1)) - leap.start_of(date(2024, 2, 28))
    assert between == pytest.approx(2 * leap.day_width)


def test_the_middle_day_of_a_common_year_stands_in_the_middle() -> None:
    """2 July is day 183 of 365 (182 days before it and 182 after)."""
    assert band_axis(2025, WIDTH).middle_of(date(2025, 7, 2)) == pytest.approx(WIDTH / 2)


def test_loads_of_one_day_make_one_tick_of_their_sum() -> None:
    day = date(2025, 4, 20)
    loads = [LoadTick(day, 4000), LoadTick(day, 4000), LoadTick(day + timedelta(1), 4000)]
    one, two = ticks(year_band(2025, loads, width=WIDTH, height=HEIGHT))
    assert one.y2 - FOOT == pytest.approx(2 * (two.y2 - FOOT))
    assert one.y2 - FOOT == pytest.approx(STRIP)  # 8,000 is a round top of the scale


def test_a_given_scale_keeps_bands_comparable_and_a_larger_day_raises_it() -> None:
    load = [LoadTick(date(2025, 4, 20), 10_000)]
    (low,) = ticks(year_band(2025, load, full_scale=40_000, width=WIDTH, height=HEIGHT))
    assert low.y2 - FOOT == pytest.approx(STRIP / 4)
    raised = year_band(2025, load, full_scale=5000, width=WIDTH, height=HEIGHT)
    assert ticks(raised)[0].y2 - FOOT == pytest.approx(STRIP)
    assert "top: 10,000 gal in a day" in words(raised)


def test_loads_outside_the_period_are_left_out() -> None:
    loads = [LoadTick(date(2024, 12, 31), 5), LoadTick(date(2026, 1, 1), 5)]
    assert ticks(year_band(2025, loads)) == []


@pytest.mark.parametrize("amount", [-1.0, float("nan")])
def test_an_amount_below_zero_or_no_number_is_refused_with_its_day(amount: float) -> None:
    with pytest.raises(ValueError, match="load of 2025-04-20 has the amount"):
        year_band(2025, [LoadTick(date(2025, 4, 20), amount)])


def test_closed_days_are_hatched_whole_and_nothing_beyond_them() -> None:
    closed = [ClosedWindow(date(2024, 12, 15), date(2025, 4, 1), "winter")]
    drawing = year_band(2025, closed=closed, width=WIDTH, height=HEIGHT)
    axis = band_axis(2025, WIDTH)
    slanted = [s for s in strokes(drawing, SOFT) if s.x1 != s.x2]
    assert len(slanted) > 20
    right = axis.start_of(date(2025, 4, 2))
    assert max(max(s.x1, s.x2) for s in slanted) == pytest.approx(right, abs=0.01)
    assert min(min(s.x1, s.x2) for s in slanted) == pytest.approx(EDGE, abs=0.01)
    assert all(FOOT - 0.01 <= y <= HEIGHT - HEAD + 0.01 for s in slanted for y in (s.y1, s.y2))


def test_readings_a_week_apart_are_joined_and_a_missing_week_is_broken() -> None:
    first = date(2025, 5, 2)
    weeks = [0, 1, 2, 4, 5]
    level = [LevelReading(first + timedelta(7 * week), 0.5) for week in weeks]
    drawing = year_band(2025, level=level)
    runs = [s for s in drawing.contents if isinstance(s, PolyLine)]
    assert [len(run.points) // 2 for run in runs] == [3, 2]
    assert len(strokes(drawing, ACCENT, dashed=True)) == 1


@pytest.mark.parametrize(("days", "gaps"), [(10, 0), (11, 1)])
def test_ten_days_between_readings_still_join(days: int, gaps: int) -> None:
    level = [LevelReading(date(2025, 5, 2) + timedelta(days * i), 0.5) for i in range(2)]
    assert len(strokes(year_band(2025, level=level), ACCENT, dashed=True)) == gaps


@pytest.mark.parametrize(("share", "passed"), [(1.0, False), (1.01, True)])
def test_a_level_above_full_draws_the_line_of_full(share: float, passed: bool) -> None:
    level = [LevelReading(date(2025, 5, 2), 0.9), LevelReading(date(2025, 5, 9), share)]
    drawing = year_band(2025, level=level, width=WIDTH, height=HEIGHT)
    (run,) = [s for s in drawing.contents if isinstance(s, PolyLine)]
    assert run.points[3] == pytest.approx(HEIGHT - HEAD)
    assert bool(strokes(drawing, INK, dashed=True)) is passed
    assert ("line: level, top is full" in words(drawing)) is not passed


def test_today_stands_only_within_the_period() -> None:
    assert "today" in words(year_band(2025, today=date(2025, 12, 31)))
    assert "today" not in words(year_band(2025, today=date(2026, 1, 1)))


def test_months_are_named_in_full_when_wide_and_by_a_letter_when_narrow() -> None:
    assert "Sep" in words(year_band(2025, width=720))
    narrow = words(year_band(2025, width=200))
    assert "S" in narrow
    assert "Sep" not in narrow


def test_a_period_across_two_years_names_both() -> None:
    shown = words(year_band(Period(date(2025, 9, 1), date(2026, 8, 31))))
    assert {"Sep 2025", "Jan 2026"} <= set(shown)


def test_a_period_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="must end after it begins"):
        Period(date(2025, 9, 1), date(2025, 9, 1))
