"""Figures of the report on the page: the number, and the way to the records behind it."""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.http import urlencode
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from farmrecords.report import cover

register = template.Library()


def address_url(address: Any, op: str) -> str:
    """The URL of the records behind a figure; empty where it has no address.

    An address that names no page is a mistake and raises NoReverseMatch.
    """
    if address is None:
        return ""
    url = reverse(address.name, kwargs={"op": op, **dict(address.args)})
    return f"{url}?{urlencode(address.query)}" if address.query else url


@register.filter
def jurisdiction_names(codes: tuple[str, ...]) -> str:
    """The jurisdictions as their rule files call themselves."""
    return cover.jurisdiction_names(codes)


@register.simple_tag(takes_context=True)
def fig(context: Any, figure: Any, with_unit: bool = False) -> SafeString:
    """A figure as printed, linked to its records; “cannot tell” when a fact is missing."""
    if figure is None:
        return format_html('<span class="soft">{}</span>', _("none entered"))
    if not figure.is_known:
        return format_html('<span class="soft">{}</span>', _("cannot tell"))
    words = figure.words if with_unit else figure.digits
    url = address_url(figure.records, context["seat"].operation.slug)
    if not url:
        return format_html('<span class="figure">{}</span>', words)
    return format_html('<span class="figure"><a href="{}">{}</a></span>', url, words)


@register.simple_tag(takes_context=True)
def records_link(context: Any, address: Any, words: Any) -> SafeString:
    """Words linked to the records they stand for, where a page shows them."""
    url = address_url(address, context["seat"].operation.slug)
    return format_html('<a href="{}">{}</a>', url, words) if url else format_html("{}", words)


@register.filter
def full(figure: Any) -> str:
    """A figure with its unit, or what is missing."""
    if figure.is_known:
        return str(figure.words)
    return _("cannot tell: %(missing)s") % {"missing": figure.missing}


@register.filter
def iso(day: Any) -> str:
    """A day as year-month-day, or a dash."""
    return day.isoformat() if day else "—"
