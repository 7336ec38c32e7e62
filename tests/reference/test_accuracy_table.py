"""The manual's tables of accuracy are what the models compute now: each figure within one unit of its last place."""

import re

import accuracy

HEADING = "| case | figure | chuckscene | reference | difference | source |"
REASONS = "| difference | before | what makes it | after |"
HOW = "python tests/reference/accuracy.py prints the rows anew"


def printed(root, heading=HEADING):
    """Rows of a table in the manual."""
    lines = (root / "sim" / "manual" / "validation.md").read_text(encoding="utf-8").splitlines()
    first = lines.index(heading) + 2
    rows = []
    while lines[first].startswith("|"):
        rows.append(lines[first])
        first += 1
    return rows


def words_and_figures(row):
    """Return what of a row must agree letter by letter, and the three figures with the worth of their last place."""
    cells = [cell.strip() for cell in row.strip("|").split("|")]
    figures = []
    for cell in cells[2:5]:
        number = re.fullmatch(r"([+-]?\d+(?:\.(\d+))?)(?: %)?", cell)
        assert number, f"{cell!r} is not a number"
        figures.append((float(number[1]), 10.0 ** -len(number[2] or "")))
    return (*cells[:2], *cells[5:]), figures


def test_the_table_is_what_the_model_computes(root):
    rows, table = accuracy.rows(), printed(root)
    assert len(table) == len(rows), HOW
    for row, text in zip(rows, table, strict=True):
        words, figures = words_and_figures(text)
        expected_words, expected = words_and_figures(row.text)
        assert words == expected_words, HOW
        for (found, place), (wanted, expected_place) in zip(figures, expected, strict=True):
            assert place == expected_place, HOW
            assert abs(found - wanted) <= 1.01 * place, f"{text}: now {wanted}; {HOW}"


def test_the_reasons_are_what_makes_the_differences(root):
    """Each is reproduced: what is left is under half of what was, and the page says what it is."""
    reasons, table = accuracy.reasons(), printed(root, REASONS)
    assert len(table) == len(reasons), HOW
    for reason, text in zip(reasons, table, strict=True):
        case, before, what, after = (cell.strip() for cell in text.strip("|").split("|"))
        assert (case, what) == (reason.case, reason.what), HOW
        for cell, value in ((before, reason.before), (after, reason.after)):
            assert abs(float(cell.removesuffix(" %")) - value) <= 0.101, f"{text}: now {value}; {HOW}"
        assert abs(reason.after) < 0.5 * abs(reason.before)
