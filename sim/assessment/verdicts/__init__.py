"""The verdicts, one module a question."""
