"""Words of gripping that several layers share: which way jaws press, and where a bore meets the part."""

from __future__ import annotations

from typing import Literal

Direction = Literal["outside", "inside"]
Pattern = Literal["middle", "edges", "full"]
