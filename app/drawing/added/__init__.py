"""What stands on a sheet beside the equipment: remarks, and pictures that lie under it."""

from __future__ import annotations
