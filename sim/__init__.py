"""Turn a scenario into an assessment of a turned part held in soft jaws."""
