"""Pages of the book: log, one load, fields and their years, storages, tests, rules."""
