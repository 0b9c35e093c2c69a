"""The record book for manure spreading: one Django app, divided into rooms that follow the data."""
