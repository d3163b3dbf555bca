"""`python -m previz`, the same as `previz`."""

from previz.cli import main

main()
