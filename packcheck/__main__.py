"""``python -m packcheck``."""

from packcheck.cli import main

main()
