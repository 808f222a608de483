"""`python -m boardmaker`."""

from boardmaker.command_line import main

main()
