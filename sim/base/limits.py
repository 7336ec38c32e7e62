"""How much is taken of what comes from outside: sizes of files and counts, each with the words that tell it.

Every limit stands here alone: readers and tables of a scenario ask for it, and the manual's page on security prints it.
Bytes are counted as the file has them; of packed ones also what they unpack to.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of file that is read.

    Attributes
    ----------
    what : str
        In words.
    most : int
        Bytes.
    form : str
        What it must be, where it is text, as in 'TOML text'; empty for what is no text.
    blanks : str
        Control characters that count as blanks in it.
    """

    what: str
    most: int
    form: str = ""
    blanks: str = ""

    @property
    def size(self) -> str:
        """The most in words."""
        return in_words(self.most)


@dataclass(frozen=True, slots=True)
class Count:
    """How many of something are taken; no unit."""

    what: str
    most: int


def in_words(size: int) -> str:
    """Return a size in bytes as it is told: whole MB, else kB."""
    return f"{size // 1_000_000} MB" if size >= 1_000_000 else f"{size // 1000} kB"


SCENARIO = FileKind("scenario, study, search, shop file, or what a scenario includes", 1_000_000, "TOML text")
# As on a punched tape; the last is the end of a file on old disks.
PROGRAM = FileKind("program of a lathe", 20_000_000, "text", "\x00\x1a\ufeff")
READINGS = FileKind("readings of a gauge or a dial", 10_000_000, "CSV text")
DRAWING = FileKind("DXF drawing of a part or a tool", 5_000_000)
PART = FileKind("part as STEP, STL, 3MF, OBJ or GLB", 50_000_000)
JAW = FileKind("jaw as STL or GLB", 50_000_000)
UNPACKED_PART = FileKind("a 3MF's model, unpacked", 100_000_000)
CODE = FileKind("text of the codes of a setup sheet", 200_000, "text")
UNPACKED_CODE = FileKind("what such codes unpack to", 1_000_000)
JOB = FileKind("job (zip), packed as well as unpacked", 300_000_000)
JOB_FILE = FileKind("one file in a job, or one file that goes into it", 100_000_000)
FOLDER = FileKind("file of an export that is to be replaced", 500_000_000)
BLOCK = FileKind("block of a study (Parquet)", 1_000_000_000)
MANIFEST = FileKind("list of contents of a study's folder", 1_000_000)
KEPT = FileKind("file of the program's own caches", 300_000_000)

FILES = (
    SCENARIO, PROGRAM, READINGS, DRAWING, PART, UNPACKED_PART, JAW, CODE, UNPACKED_CODE, JOB, JOB_FILE, FOLDER,
    BLOCK, MANIFEST, KEPT,
)  # fmt: skip

LETTERS = Count("characters of any one text", 2000)
FILE_NAME = Count(
    "characters by which a scenario names a program, a drawing, a model or what it includes", 300
)
CORNERS = Count("corners of a part's or a stock's outline, stated or out of a model", 2000)
TOOL_CORNERS = Count("corners of a tool's outline", 500)
DRAWN_CORNERS = Count("corners of a drawing, arcs in chords", 4000)
POCKETS = Count("pockets in a set of jaws", 3)
OPERATIONS = Count("operations", 4)
CUTS = Count("cuts of an operation", 100)
TOOLS = Count("tools of a program in a scenario", 40)
SHOP_TOOLS = Count("tools in a shop file", 400)
INCLUDED = Count("files that a scenario includes, and shop files", 8)
MATERIALS = Count("own materials", 40)
GRIP_POINTS = Count("points of a chuck's grip over its pull, or of a spindle's power", 40)
BORED_BEFORE = Count("earlier borings of a set of jaws", 10)
VIEWS = Count("named views", 20)
TRIANGLES = Count("triangles of a part", 500_000)
JAW_TRIANGLES = Count("triangles of a jaw", 300_000)
INSTANCES = Count("placed copies of meshes in a model", 1000)
DEEP = Count("models placed within models, one in the other", 8)
TAGS = Count("marks of a 3MF's model", 4_000_000)
LINE = Count("characters of a program's line", 1000)
BLOCKS = Count("blocks that a program runs beyond one for every line", 200_000)
MOVES = Count("moves of one program", 200_000)
CYCLE_MOVES = Count("moves that a program's cycles make", 100_000)
VARIANTS = Count("variants of a study", 100_000_000)
STUDIED = Count("scenarios of a study", 1000)
VARIED = Count("fields that a study varies", 40)
VALUES = Count("values or steps of a field that is varied", 100_000)
SHELF = Count("sets of jaws on a shelf", 500)
JOB_FILES = Count("files in a job", 500)

COUNTS = (
    LETTERS, FILE_NAME, CORNERS, TOOL_CORNERS, DRAWN_CORNERS, POCKETS, OPERATIONS, CUTS, TOOLS, SHOP_TOOLS,
    INCLUDED, MATERIALS, GRIP_POINTS, BORED_BEFORE, VIEWS, TRIANGLES, JAW_TRIANGLES, INSTANCES, DEEP, TAGS, LINE,
    BLOCKS, MOVES, CYCLE_MOVES, VARIANTS, STUDIED, VARIED, VALUES, SHELF, JOB_FILES,
)  # fmt: skip


def table_rows() -> list[str]:
    """Return both tables as the manual prints them, in Markdown."""
    rows = ["| file | at most |", "|---|---|"]
    rows += [f"| {one.what} | {one.size} |" for one in FILES]
    rows += ["", "| count | at most |", "|---|---|"]
    return rows + [f"| {one.what} | {one.most:,} |" for one in COUNTS]
