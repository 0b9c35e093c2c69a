"""Stands in the room people/ now."""

from farmrecords.people.plain_errors import PlainErrors as PlainErrors
from farmrecords.people.plain_errors import PlainForm as PlainForm
