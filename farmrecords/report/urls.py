"""Addresses of the report room."""

from django.urls import path

from farmrecords.report import views

urlpatterns = [
    path("report/", views.report, name="report"),
    path("report/<str:first>/<str:last>/", views.report_period, name="report_period"),
    path("report/<str:first>/<str:last>/report.pdf", views.report_pdf, name="report_pdf"),
    path("report/<str:first>/<str:last>/report.json", views.report_json, name="report_json"),
]
