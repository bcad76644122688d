"""Run every benchmark and print its figures: ``python -m tests.bench``."""

from tests.bench.pages import main

main()
