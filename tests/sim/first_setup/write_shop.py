"""Write the shop files of the size classes: `python tests/sim/first_setup/write_shop.py`."""

from __future__ import annotations

from pathlib import Path

from sim.first_setup.shop import shop_texts

FOLDER = Path(__file__).parents[3] / "scenarios" / "shop"

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, text in shop_texts().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
