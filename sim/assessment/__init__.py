"""A setup judged: the stages in their order, their frozen results, and the verdicts."""
