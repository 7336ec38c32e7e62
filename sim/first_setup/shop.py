"""Shop files of the size classes, from the tables that `new` reads: a lathe, a chuck and blanks of each, and bars."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sim.first_setup.classes import class_text
from sim.first_setup.known import CLASSES
from sim.first_setup.proposal import BARS

LATHE, CHUCK, BLANKS = ("machine",), ("chuck", "master_jaw"), ("soft_jaw",)
_KINDS = (
    ("lathe", LATHE, "A lathe that carries chucks of the {0} mm class"),
    ("chuck", CHUCK, "A three-jaw power chuck of the {0} mm class with its master jaws"),
    ("blanks", BLANKS, "Soft jaw blanks for a chuck of the {0} mm class"),
)
INVENTED = "invented, typical of the class, of no make"
# A bar is not asked to turn off more at once than this (common practice, no source).
DEEPEST = 0.2  # of the bar's diameter

# Of E and density two public sheets each (rciind.com, robertlaminage.com); yield of soft wire of 4 to 20 mm by EN 12166
# (h2abc.com), the least; drawn bars have 280 and more (R450; bronze.ch).
MATERIALS = """# A material that the table has not, as an example of the form: its softest state.
# State your own bar's, with its certificate as the source.

[[materials]]
name = "tin bronze CuSn8, typical"
modulus = "110 GPa"
poisson = 0.34
density = "8800 kg/m3"
yield_strength = "170 MPa"
group = "27"                              # of VDI 3323: brass, which comes nearest
friction_as = "brass"
source = "public data sheets, the softest state: read the bar's certificate"
"""


def shop_texts() -> dict[str, str]:
    """Return the text of every shop file by its name."""
    found = {
        f"{kind}_{size}.toml": _of_class(size, tables, words.format(size))
        for size in CLASSES
        for kind, tables, words in _KINDS
    }
    return {**found, "bars.toml": "\n".join(_bars()) + "\n", "materials.toml": MATERIALS}


def _of_class(size_class: int, tables: Iterable[str], words: str) -> str:
    wanted = tuple(tables)
    lines = [
        f"# {words}: {INVENTED}.",
        "# What you read off its plate, its data sheet or the part itself, state in the scenario: that counts, and",
        "# all else stays typical, as every answer says.",
        "",
        "typical = [" + ", ".join(f'"{table}"' for table in wanted) + "]",
        "",
    ]
    table = ""
    for line in class_text(size_class).splitlines():
        if line.startswith("["):
            table = line.strip("[]").partition(".")[0]
        if table in wanted:
            lines.append(line)
    return "\n".join(lines).rstrip() + "\n"


def _bars() -> Iterator[str]:
    yield "# Boring bars by ISO 5609 with the inserts that they usually bear: invented, typical, of no make; for"
    yield "# programs that call them by these numbers. Diameter and f from memory; reach: four diameters"
    yield "# (common practice)."
    for number, (diameter, functional_offset, insert) in enumerate(BARS, start=1):
        yield ""
        yield "[[tools]]"
        yield f"number = {number}"
        yield f'name = "boring bar of {diameter:g} mm, typical"'
        yield f'insert = "{insert}"'
        yield (
            f'bar = {{ diameter = "{diameter:g} mm", reach = "{4.0 * diameter:g} mm", functional_offset = '
            f'"{functional_offset:g} mm" }}'
        )
        yield 'approach_angle = "95 deg"'
        yield f'largest_depth_of_cut = "{DEEPEST * diameter:g} mm"'
