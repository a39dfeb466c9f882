"""Write every schema: ``python -m beltpath.output.schemas [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from beltpath.data.sections import DATA
from beltpath.output.schemas import write

chosen = [Path(folder) for folder in sys.argv[1:2]]
write(*(chosen * 2 or [Path("docs"), DATA]))
