"""`python -m stillroom.cli` is `stillroom`."""

from stillroom.cli import main

main()
