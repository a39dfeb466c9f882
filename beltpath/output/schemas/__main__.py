"""Write every schema: ``python -m beltpath.output.schemas [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from beltpath.output.schemas import write

write(Path(*(sys.argv[1:2] or ["docs"])))
