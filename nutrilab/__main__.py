"""``python -m nutrilab``."""

from nutrilab.cli import main

main()
