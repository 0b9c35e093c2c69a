"""Addresses of the report room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
