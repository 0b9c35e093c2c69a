"""Addresses of the intake room."""

from django.urls import path

from farmrecords.intake import views

urlpatterns = [
    path("import/", views.bring, name="import"),
    path("import/<uuid:pk>/", views.incoming_file, name="incoming_file"),
    path("work/<uuid:pk>/", views.work, name="work"),
]
