"""Addresses of the loads room."""

from django.urls import path

from farmrecords.loads import views

urlpatterns = [
    path("import/<uuid:pk>/loads/", views.proposed_loads, name="proposed_loads"),
]
