"""``python -m packcheck``."""

from packcheck.app.cli import main

main()
