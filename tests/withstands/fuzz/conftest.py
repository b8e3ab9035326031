"""The modules beside these tests."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = str(Path(__file__).parent)
if HERE not in sys.path:  # forked workers and tests share one copy
    sys.path.append(HERE)
