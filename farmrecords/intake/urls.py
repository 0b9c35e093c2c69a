"""Addresses of the intake room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
