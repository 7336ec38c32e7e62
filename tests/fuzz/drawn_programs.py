"""Draw texts that may be programs: random words, wild cycles, jumps and calls, and programs of the corpus cut about."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from corpus import TABLE, reading_of, text_of

from sim.programs.compensation import Nose
from sim.programs.cycles.amounts import Amounts
from sim.programs.reading import Reading

READINGS = (
    Reading(),
    Reading(nose_radius=0.8, tip_direction=(-1, -1), code_system="G90 cycles"),
    Reading(diameter=False, skip_optional=True, rapid="dogleg", code_system="G90 cycles"),
    Reading(inch=True, least_increment=0.001, code_system="G90 cycles"),
    Reading(point_required=True, skip_optional=None, rapid="unknown", speed_limit=3500.0, first_tool=1),
    Reading(
        tools={1: Nose(0.4, (1, -1)), 2: Nose(0.8, (-1, -1)), 117: Nose(0.0, (0, 0))},
        home=(150.0, 300.0), chuck=(69, 68), skipped=frozenset({"/2"}), code_system="G90 cycles",
    ),
    Reading(
        home=(150.0, 300.0), second_home=(120.0, 200.0), machine_zero=(200.0, 400.0), bare_home="both axes",
        datums={54: 10.0, 55: 40.0}, tool_word="TSSOO", code_system="G90 cycles",
    ),
    Reading(home=(150.0, 300.0), bare_home="nothing", tool_word="TNNSSOO", code_system="G77 cycles"),
    Reading(code_system="G20 cycles"),
    Reading(code_system="ISO", tool_word="TS", nose_radius=0.4),
    Reading(nose_radius=0.2, corner_words="without comma", corners="intersection", code_system="G90 cycles"),
    Reading(code_system="G90 cycles", amounts=Amounts(pull_out=1.0, plane="from the start", roughing_retract=1)),
    Reading(code_system="G20 cycles", amounts=Amounts(peck_return="back off", plane="absolute")),
)  # fmt: skip
NAMES = tuple(TABLE)
TEXTS = tuple(text_of(name) for name in NAMES)
CASES = tuple(reading_of(TABLE[name]) for name in NAMES)
Drawn = tuple[str, Reading]

_HEADS = (
    "G18 G21 G40",
    "T0101",
    "G97 S900 M3",
    "G96 S180 M3",
    "G50 S2500",
    "G99",
    "G95",
    "G90",
    "G21",
    "G20 G40",
)
_BETWEEN = (
    "M8", "G97 S700", "G96 S150", "G0 X70. Z20.", "G1 F.2", "N5", "T0101", "X#1", "G1 Z-[#1]", "G91", "G90", "G98",
    "G99", "G94", "G95", "G54", "G20", "G21", "G41", "G42", "G40", "G1 X30. Z-4. ,C.5", "G4 X1.", "U2. W-1.",
    "G90 X20. Z-10. F.2", "G77 X20. Z-10. F.2", "G80", "G71 U1. R.5", "%", "/X3.", "G1 ,A45.", "G50 Z10.", "G28 U0 W0",
    "T0100",
)  # fmt: skip
_LETTERS = "NGXZUWIKRFSTMPQLDHCABYEJV"
_CODES = (
    0, 1, 1, 1, 2, 3, 4, 9, 10, 17, 18, 20, 21, 22, 23, 25, 26, 28, 30, 32, 33, 34, 40, 41, 42, 43, 49, 50, 52, 53,
    54, 55, 61, 64, 65, 68, 69, 70, 71, 72, 73, 74, 75, 76, 77, 78, 79, 80, 81, 83, 84, 85, 90, 91, 92, 94, 95, 96,
    97, 98, 99,
)  # fmt: skip
_MS = (0, 1, 2, 3, 4, 5, 6, 8, 9, 10, 13, 19, 30, 68, 69, 97, 98, 99)
_SIZES = ("0", "0.", "1", "1.", "-1.", ".5", "-.5", "2.", "10.", "-10.", "20.", "40.", "41.2", "-25.", "100", "1000",
          "0.001", "-0.0", "3.14159", "60.", "99999.", "1e3", "+5.", "5.5.5", "", "-", "12")  # fmt: skip
_SPLICES = ("(A COMMENT)", ";", "/", "%", "<NAME>", "G10 P1 Z1.", "M99 P10", "M99", ",A45.", ",R1.", ",C.5",
            "G50 W1.", "N10", "#1=2.", "GOTO10", "G41", "G40", "G42", "G80", "M98 P1000", "X#1", "R1=3", "S2=500",
            "LIMS=2000")  # fmt: skip


def number(draw: random.Random) -> str:
    """Return the number of a word, usual or wild."""
    if draw.random() < 0.5:
        return draw.choice(_SIZES)
    return f"{draw.uniform(-80.0, 80.0):.{draw.choice((0, 1, 2, 3, 6))}f}"


def word(draw: random.Random) -> str:
    """Return a word, likely one that is known."""
    kind = draw.random()
    if kind < 0.25:
        return f"G{draw.choice(_CODES)}"
    if kind < 0.32:
        return f"M{draw.choice(_MS)}"
    if kind < 0.80:
        return draw.choice("XZXZXZUWFRIK") + number(draw)
    if kind < 0.95:
        return draw.choice(_LETTERS) + number(draw)
    return draw.choice(_SPLICES)


def random_words(draw: random.Random) -> Drawn:
    """Lines of words behind a head that sets tool, speed and feed."""
    lines = draw.sample(_HEADS, k=draw.randint(0, 4)) + ["G0 X50. Z2.", "G1 Z0. F.2"][: draw.randint(0, 2)]
    for _ in range(draw.randint(1, 8)):
        lines.append(draw.choice(("", " ")).join(word(draw) for _ in range(draw.randint(1, 5))))
    return "\n".join(lines), draw.choice(READINGS)


def characters(draw: random.Random) -> Drawn:
    """Characters as they come."""
    alphabet = "GXZMN0123456789.-+ ()/;%#[]=,<>\n\nUWFSTRIKPQOLDCAE!:*\té"
    return "".join(draw.choices(alphabet, k=draw.randint(1, 80))), draw.choice(READINGS)


def mutated(draw: random.Random) -> Drawn:
    """A program of the corpus, as it is or with a line, a word or a character changed."""
    which = draw.randrange(len(TEXTS))
    lines = TEXTS[which].split("\n")
    for _ in range(draw.choice((0, 1, 1, 1, 2))):
        _mutate(draw, lines)
    reading = CASES[which] if draw.random() < 0.8 else draw.choice(READINGS)
    return "\n".join(lines), reading


def _mutate(draw: random.Random, lines: list[str]) -> None:
    at = draw.randrange(len(lines))
    words = lines[at].split(" ")
    how = draw.randrange(9)
    if how == 0:
        del lines[at]
        lines.append("")
    elif how == 1:
        lines.insert(at, lines[draw.randrange(len(lines))])
    elif how == 2:
        lines[at] += " " + word(draw)
    elif how == 3:
        words[draw.randrange(len(words))] = word(draw)
        lines[at] = " ".join(words)
    elif how == 4:
        del words[draw.randrange(len(words))]
        lines[at] = " ".join(words)
    elif how == 5:
        place = draw.randint(0, len(lines[at]))
        lines[at] = lines[at][:place] + draw.choice("GXZ0123456789.-,/;#[]=<> ") + lines[at][place:]
    elif how == 6 and lines[at]:
        place = draw.randrange(len(lines[at]))
        lines[at] = lines[at][:place] + lines[at][place + 1 :]
    elif how == 7:
        other = draw.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines.insert(at, draw.choice(_SPLICES))


def plain(draw: random.Random) -> Drawn:
    """Mostly lines that say where a move ends and no more, with what holds between them changed here and there."""
    lines = [
        draw.choice(("G97 S600 M3", "G96 S150 M3", "S600")),
        draw.choice(("G1 X60. Z10. F.2", "G0 X62. Z5.")),
    ]
    arc = False
    for _ in range(draw.randint(4, 30)):
        line, arc = _plain_line(draw, arc=arc)
        lines.append(line if draw.random() < 0.95 else draw.choice(_BETWEEN))
    lines.insert(1, draw.choice(("G54", "#1=5.", "#1=7.")))
    lines.insert(draw.randint(0, len(lines)), draw.choice(("", "M98 P7 L2", "(ROUGH)", "U-[#1] W#1")))
    text = "\n".join([*lines, "M30", "O7", _plain_line(draw, arc=False)[0], "M99", ""])
    return text, draw.choice(READINGS)


def _plain_line(draw: random.Random, *, arc: bool) -> tuple[str, bool]:
    """Draw such a line, and tell whether an arc is in force behind it: as it is before it, without a G word."""
    code = draw.choice(
        ("G1", "G01", "G0", "G2", "G3") if arc and draw.random() < 0.95 else ("", "", "G1", "G00", "G3")
    )
    arc = code in ("G2", "G3") or (arc and not code)
    words = [f"N{draw.randint(1, 9999)}"] if draw.random() < 0.3 else []
    words += [code] if code else []
    both = arc or draw.random() < 0.5
    x = both or draw.random() < 0.5
    if x:
        words.append(f"X{draw.uniform(1.0, 60.0):.{draw.randint(0, 4)}f}")
        if draw.random() < 0.15:
            words[-1] = f"U{draw.uniform(-5.0, 5.0):.{draw.randint(0, 4)}f}"
    if both or not x:
        words.append(f"Z{draw.uniform(-50.0, 10.0):.{draw.randint(1, 4)}f}")
        if draw.random() < 0.15:
            words[-1] = f"W{draw.uniform(-5.0, 5.0):.{draw.randint(1, 4)}f}"
    if arc or draw.random() < 0.02:
        words.append("K-3." if draw.random() < 0.02 else draw.choice(("R200.", "R-150.", "R99.5")))
    if draw.random() < 0.3:
        words.append("F20." if draw.random() < 0.01 else draw.choice(("F.1", "F.2", "F0.15", "F.100")))
    if draw.random() < 0.05:
        draw.shuffle(words)
    return draw.choice((" ", " ", "")).join(words) + draw.choice(("", "", "", " ", " (C)", "M8", "\x00")), arc


def spliced(draw: random.Random) -> Drawn:
    """The head of one program before the tail of another, or the lines of two mixed."""
    one, other = draw.randrange(len(TEXTS)), draw.randrange(len(TEXTS))
    a, b = TEXTS[one].split("\n"), TEXTS[other].split("\n")
    if draw.random() < 0.7:
        lines = a[: draw.randint(0, len(a))] + b[draw.randint(0, len(b)) :]
    else:
        lines = list(a)
        for line in b[: draw.randint(1, len(b))]:
            lines.insert(draw.randint(0, len(lines)), line)
    return "\n".join(lines), CASES[draw.choice((one, other))]


def flows(draw: random.Random) -> Drawn:
    """Jumps, loops, calls and variables between moves, at random."""
    lines = ["O1000", "T0101", "G97 S900 M3", "G0 X50. Z2.", "#1=0", "G1 F.2"]
    lines += [_statement(draw, place) for place in range(draw.randint(2, 12))]
    lines.append(draw.choice(("M30", "M99", "M2", "")))
    for name in (2000, 3000)[: draw.randint(0, 2)]:
        lines.append(f"O{name}")
        lines += [_statement(draw, place + 20) for place in range(draw.randint(1, 5))]
        lines.append(draw.choice(("M99", "M99", "M99", "M99 P10", "N99 M99", "M30", "")))
    return "\n".join(lines), draw.choice(READINGS)


def _statement(draw: random.Random, place: int) -> str:
    target = draw.choice((0, 10, 20, 30, 40, 50, 10 * place))
    condition = (
        f"[#{draw.randint(1, 3)} {draw.choice(('LT', 'GT', 'EQ', 'NE', 'LE', 'GE'))} {draw.randint(0, 9)}]"
    )
    loop = draw.randint(1, 3)
    line = draw.choice((
        f"GOTO{target}", f"IF{condition}GOTO{target}", f"IF{condition}THEN #{draw.randint(1, 3)}={number(draw)}",
        f"WHILE{condition}DO{loop}", f"END{loop}", f"DO{loop}", "#1=#1+1",
        f"#{draw.randint(1, 3)}=#{draw.randint(1, 3)}*2", "X#1", "Z[#1-#2]", "U-#1",
        f"M98 P{draw.choice((1000, 2000, 3000, 22000))}", f"M98 P2000 L{draw.randint(0, 3)}",
        f"M97 P{target}", f"G65 P2000 A{number(draw)}", "M99", f"M99 P{target}", "G0 X60.", "G1 X40. F.1", "W-1.",
        "#[#1]=3", "#3=SQRT[#1]", "#2=#1/#3", "R1=5 R2=R1*2", "X=R1", "/X10.", "N10 /Z-1.",
    ))  # fmt: skip
    return f"N{10 * place} {line}" if draw.random() < 0.5 and line[0] not in "/N" else line


def cycles(draw: random.Random) -> Drawn:
    """Cycles of every kind with words that suit them, some of them wild."""
    lines = ["T0101", "G97 S900 M3", f"G0 X{draw.choice(('52.', '20.', '0', '-20.'))} Z2."]
    for _ in range(draw.randint(1, 3)):
        lines += _cycle(draw)
        if draw.random() < 0.3:
            lines.append(" ".join(word(draw) for _ in range(draw.randint(1, 3))))
    lines.append("M30")
    return "\n".join(lines), draw.choice(READINGS)


def _cycle(draw: random.Random) -> list[str]:
    code = draw.choice((70, 71, 72, 73, 74, 75))
    if draw.random() < 0.4:
        shape = [f"{draw.choice(('X', 'Z', 'U', 'W'))}{number(draw)}" for _ in range(draw.randint(1, 4))]
        first = draw.choice((f"G71 U{number(draw)} R.5", f"G72 W{number(draw)} R.5", "G73 U2. W1. R3", ""))
        return [
            first, f"G{code} P{draw.choice((10, 10, 10, 30))} Q20 U{number(draw)} W{number(draw)} F.2",
            f"N10 G{draw.randint(0, 1)} {draw.choice(('X20.', 'X20. Z1.', 'Z-10.', 'U-4.'))}", *shape,
            f"N20 {draw.choice(('X52.', 'Z3.', 'X52. Z-40.', 'U10.'))}", draw.choice(("G70 P10 Q20", "G0 X60.")),
        ]  # fmt: skip
    head = f"G{draw.choice((20, 21, 24, 32, 33, 74, 75, 76, 77, 78, 79, 81, 83, 84, 85, 90, 92, 94))}"
    letters = draw.sample("XZUWRIKPQFDA", k=draw.randint(1, 6))
    words = [f"{letter}{_for(draw, letter)}" for letter in letters]
    line = " ".join([head, *words])
    if draw.random() < 0.4:
        return [f"{head} {draw.choice(('R1.', 'P010060 Q100 R.05', 'R.3', 'P021060'))}", line]
    return [line, *([f"{draw.choice('XZUW')}{number(draw)}"] * draw.randint(0, 2))]


def _for(draw: random.Random, letter: str) -> str:
    if letter in "PQ" and draw.random() < 0.8:
        return str(draw.choice((1, 100, 500, 1000, 5000, 20000, 180000)))
    if letter == "F" and draw.random() < 0.9:
        return draw.choice((".1", "1.", "1.5", "2.", ".0625"))
    if letter == "X" and draw.random() < 0.7:
        return draw.choice(("48.", "18.", "30.", "0", "22."))
    if letter == "Z" and draw.random() < 0.7:
        return draw.choice(("-20.", "-5.", "2.", "-30."))
    return number(draw)


GENERATORS: tuple[Callable[[random.Random], Drawn], ...] = (
    mutated, mutated, mutated, mutated, plain, spliced, flows, flows, cycles, cycles, random_words, random_words,
    characters,
)  # fmt: skip


def drawn(draw: random.Random) -> tuple[str, str, Reading]:
    """Return the name of a generator, a text and how it is to be read."""
    made = draw.choice(GENERATORS)
    text, reading = made(draw)
    return made.__name__, text, reading


def told(text: str, reading: Reading) -> dict[str, Any]:
    """Return a finding's text and reading for a report."""
    return {"text": text, "reading": repr(reading)}
