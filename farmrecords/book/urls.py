"""Addresses of the book room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
