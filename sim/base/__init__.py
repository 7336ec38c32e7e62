"""What everything stands on: units, tables, errors, files, threads, rounding."""
