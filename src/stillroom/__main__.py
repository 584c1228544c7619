"""`python -m stillroom` is the command `stillroom`."""

from stillroom.cli import main

main()
