"""Addresses of the people room."""

from django.contrib.auth.views import LogoutView
from django.urls import include, path

from farmrecords.people import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", LogoutView.as_view(), name="sign_out"),
    path("language/", include("django.conf.urls.i18n")),
]
