"""Make the README's picture: a sheet of the ketch as the program prints it.

python tests/samples/make_picture.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2

KETCH = Path(__file__).parents[2] / "samples/ketch"
PAGE = 3  # after cover and legend
DPI = 110


def main() -> int:
    """Print the ketch and keep one page as `samples/ketch/sheet.png`."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "ketch.pdf"
        code = "import sys; from app.cli import main; sys.exit(main(sys.argv[1:]))"
        command = [sys.executable, "-c", code, "print", str(KETCH / "ketch.linewright"), "-o", str(pdf)]
        subprocess.run(command, check=True)
        document = pypdfium2.PdfDocument(pdf)
        image = document[PAGE].render(scale=DPI / 72).to_pil()
        image.quantize(colors=96, method=2, dither=0).save(KETCH / "sheet.png", optimize=True)
        document.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
