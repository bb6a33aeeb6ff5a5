"""``python -m app`` is the ``stocklight`` command."""

from app.command_line import main

if __name__ == "__main__":
    raise SystemExit(main())
