"""``python -m shadewright``."""

import sys

from shadewright.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
