"""The reports' made results serve the class's tests, too."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parent.parent / "reports"))
