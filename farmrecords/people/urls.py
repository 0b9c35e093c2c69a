"""Addresses of the people room."""

from django.contrib.auth.views import LogoutView
from django.urls import include, path

from farmrecords.people import late_page, views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", LogoutView.as_view(), name="sign_out"),
    path("o/<slug:op>/late/", late_page.late_records, name="late_records"),
    path("language/", include("django.conf.urls.i18n")),
]
