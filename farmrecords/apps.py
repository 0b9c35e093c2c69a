"""The one app of the project; the rooms are plain packages inside it."""

from django.apps import AppConfig

# Modules that register something with a room to their left.
CONNECTED = (
    "people.actors",
    "people.filed",
    "people.named",
    "farm.jurisdictions",
    "farm.importing",
    "farm.import_waters",
    "farm.import_soils",
    "measurements.weather_importing",
    "measurements.forecasts",
    "loads.scopes",
    "loads.facts",
    "loads.importing",
    "loads.track_importing",
    "loads.log_importing",
    "loads.renewing",
    "findings.index",
    "findings.tasks",
)


class FarmrecordsConfig(AppConfig):
    """Loads every room's models and connects what the rooms register with each other."""

    name = "farmrecords"
    verbose_name = "Farm records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let the rooms register what they tell each other: crew views, supports, stale marks."""
        from importlib import import_module

        for module in CONNECTED:
            import_module(f"farmrecords.{module}")
