"""What was measured or seen: tests, levels, weather, forecasts, inspections, calibrations."""

from farmrecords.measurements.models.rounds import (
    Calibration,
    Deficiency,
    Discharge,
    Inspection,
    Mortality,
    StorageLevel,
)
from farmrecords.measurements.models.tests import ManureTest, SoilTest
from farmrecords.measurements.models.weather import Forecast, WeatherDay, WeatherReading

__all__ = [
    "Calibration",
    "Deficiency",
    "Discharge",
    "Forecast",
    "Inspection",
    "ManureTest",
    "Mortality",
    "SoilTest",
    "StorageLevel",
    "WeatherDay",
    "WeatherReading",
]
