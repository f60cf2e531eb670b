"""``python -m builder`` is the command ``castwalk``."""

from builder.cli import main

if __name__ == "__main__":
    main()
