"""`python -m stillroom` is the command `stillroom`."""

from stillroom.command_line import main

main()
