"""`python -m stillroom.command_line` is `stillroom`."""

from stillroom.command_line import main

main()
