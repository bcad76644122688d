"""Lets ``python -m trainer.cli`` run the commands."""

from trainer.cli.main import main

if __name__ == "__main__":
    main()
