"""All addresses of the project; each room brings its own."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("farmrecords.people.urls")),
    path("o/<slug:op>/", include("farmrecords.intake.urls")),
    path("o/<slug:op>/", include("farmrecords.loads.urls")),
    path("o/<slug:op>/", include("farmrecords.book.urls")),
    path("o/<slug:op>/", include("farmrecords.report.urls")),
    path("admin/", admin.site.urls),
]
