"""Addresses of the book room."""

from django.urls import path

from farmrecords.book.views import (
    entry,
    fields,
    load,
    log,
    rules,
    start,
    storages,
    tests,
    worksheets,
)

urlpatterns = [
    path("", start.start, name="start"),
    path("fields/", fields.fields, name="fields"),
    path("fields/<uuid:pk>/", fields.field, name="field"),
    path("fields/<uuid:pk>/<int:crop_year>/", fields.field_year_page, name="field_year"),
    path("loads/", log.loads, name="loads"),
    path("loads/new/", entry.enter_load, name="enter_load"),
    path("loads/<uuid:pk>/", load.load, name="load"),
    path("loads/<uuid:pk>/amend/", entry.amend, name="amend_load"),
    path("loads/<uuid:pk>/void/", entry.void, name="void_load"),
    path("loads/<uuid:pk>/decide/", entry.decide, name="decide_waiting"),
    path("storages/", storages.storages, name="storages"),
    path("storages/<uuid:pk>/", storages.storage, name="storage"),
    path("storages/<uuid:pk>/level/", storages.enter_level, name="enter_level"),
    path("tests/", tests.tests, name="tests"),
    path("tests/new/", tests.enter_manure_test, name="enter_manure_test"),
    path("tests/<uuid:pk>/", tests.manure_test, name="manure_test"),
    path("worksheets/", worksheets.worksheets, name="worksheets"),
    path("worksheets/<slug:name>/", worksheets.worksheet_page, name="worksheet"),
    path("rules/", rules.coverage, name="coverage"),
    path("rules/<slug:rule_id>/", rules.rule, name="rule"),
]
