"""Two revisions of a setup: which fields have another value, which verdicts moved."""
