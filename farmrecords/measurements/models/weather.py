"""Weather as observed, and forecasts as seen."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.history.constraints import at_least_zero, at_most, not_before
from farmrecords.history.recorded import Recorded
from farmrecords.measurements.models.tests import operation_key


class WeatherDay(Recorded):
    """One day's weather at the operation: rain, temperature, snow, ground, and who observed it."""

    operation = operation_key("weather_days")
    day = models.DateField(_("day"))
    rain_in = models.DecimalField(
        _("rain, in"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    high_f = models.DecimalField(
        _("highest, °F"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    low_f = models.DecimalField(
        _("lowest, °F"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    snow_depth_in = models.DecimalField(
        _("snow on the ground, in"), max_digits=5, decimal_places=1, null=True, blank=True
    )
    ground = models.CharField(_("ground"), max_length=20, blank=True)
    source = models.CharField(_("source"), max_length=80)

    class History:
        name = "weather_day"
        operation = "operation"
        day = "day"

    class Meta(Recorded.Meta):
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                name="weather_day_once",
                fields=["operation", "day", "source"],
                condition=Q(voided=False),
            ),
            models.CheckConstraint(
                name="weather_day_amounts",
                condition=(Q(rain_in__isnull=True) | Q(rain_in__gte=0))
                & (Q(snow_depth_in__isnull=True) | Q(snow_depth_in__gte=0)),
            ),
            models.CheckConstraint(
                name="weather_day_high_over_low", condition=not_before("high_f", "low_f")
            ),
        ]


class WeatherReading(Recorded):
    """One observation of the hour: what a load's 24 hours before, during and after rest on."""

    operation = operation_key("weather_readings")
    observed_at = models.DateTimeField(_("observed at"))
    observed_on = models.DateField(_("day"))
    rain_in = models.DecimalField(
        _("rain in the hour, in"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    temperature_f = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    wind_mph = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    wind_from_deg = models.PositiveSmallIntegerField(null=True, blank=True)
    source = models.CharField(_("source"), max_length=80)
    distance_mi = models.DecimalField(
        _("distance of the station, mi"), max_digits=5, decimal_places=1, null=True, blank=True
    )

    class History:
        name = "weather_reading"
        operation = "operation"
        day = "observed_on"

    class Meta(Recorded.Meta):
        ordering = ["observed_at"]
        indexes = [models.Index(fields=["operation", "observed_at"], name="weather_op_at")]
        constraints = [
            models.CheckConstraint(
                name="weather_reading_rain", condition=Q(rain_in__isnull=True) | Q(rain_in__gte=0)
            ),
            models.CheckConstraint(
                name="weather_reading_amounts",
                condition=at_least_zero("wind_mph", "distance_mi") & at_most(360, "wind_from_deg"),
            ),
            models.UniqueConstraint(
                name="weather_reading_once",
                fields=["operation", "source", "observed_at"],
                condition=Q(voided=False),
            ),
        ]


class Forecast(Recorded):
    """A forecast as it was seen when the decision was made."""

    operation = operation_key("forecasts")
    issuer = models.CharField(_("issued by"), max_length=80)
    issued_at = models.DateTimeField(_("issued at"))
    seen_at = models.DateTimeField(_("seen at"))
    seen_on = models.DateField(_("day"))
    horizon_h = models.PositiveSmallIntegerField(_("hours ahead"))
    rain_in = models.DecimalField(
        _("rain, in"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    probability_pct = models.PositiveSmallIntegerField(_("chance, %"), null=True, blank=True)
    kept_file = models.CharField(_("kept file"), max_length=64, blank=True)

    class History:
        name = "forecast"
        operation = "operation"
        day = "seen_on"

    class Meta(Recorded.Meta):
        ordering = ["seen_at"]
        constraints = [
            models.CheckConstraint(
                name="forecast_amounts",
                condition=(Q(rain_in__isnull=True) | Q(rain_in__gte=0))
                & (Q(probability_pct__isnull=True) | Q(probability_pct__lte=100)),
            )
        ]
