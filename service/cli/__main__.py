"""`python -m service.cli`: what the `baywright` command runs."""

from service.cli.main import main

main()
