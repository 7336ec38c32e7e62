"""Write the table of verdicts into the manual's page, from their rules: `python tests/sim/manual/verdict_table.py`."""

from __future__ import annotations

from pathlib import Path

from sim.assessment.verdicts.rules import table_rows

PAGE = Path(__file__).parents[3] / "sim" / "manual" / "verdicts.md"
BEGIN, END = "<!-- verdicts -->\n", "\n<!-- /verdicts -->"


def with_table(text: str) -> str:
    """Return the page with the table of the rules between its marks."""
    before, rest = text.split(BEGIN)
    return before + BEGIN + "\n".join(table_rows()) + END + rest.split(END)[1]


if __name__ == "__main__":
    PAGE.write_text(with_table(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
