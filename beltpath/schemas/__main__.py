"""Write every schema: ``python -m beltpath.schemas [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from beltpath.schemas import write
from beltpath.sections import DATA

chosen = [Path(folder) for folder in sys.argv[1:2]]
write(*(chosen * 2 or [Path("docs"), DATA]))
