"""Gathers the rooms' models under one app label and one migration history."""

from farmrecords.history.models import *  # noqa: I001
from farmrecords.people.models import *
from farmrecords.intake.models import *
from farmrecords.farm.models import *
from farmrecords.measurements.models import *
from farmrecords.plan.models import *
from farmrecords.loads.models import *
from farmrecords.findings.models import *
from farmrecords.report.models import *
