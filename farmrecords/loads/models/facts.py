"""Facts kept with a load because they are dear to compute: derived, never verdicts."""

from __future__ import annotations

from django.db import models

from farmrecords.history.kinds import Derived
from farmrecords.loads.models.load import Load


class LoadFacts(Derived):
    """Swath, acres and distances of one load, with the versions of boundary and features used."""

    load = models.OneToOneField(
        Load, on_delete=models.CASCADE, related_name="facts", primary_key=True
    )
    load_rev = models.PositiveIntegerField()
    parts = models.JSONField(default=list)
    covered_ac = models.FloatField(null=True)
    swept_ac = models.FloatField(null=True)
    fingerprint = models.CharField(max_length=64)
    computed_at = models.DateTimeField()
