"""Files of a judged setup for other programs: models, tables, figures, and whole jobs to hand on."""
