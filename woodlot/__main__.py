"""``python -m woodlot`` is the same as ``woodlot``."""

from woodlot.cli import main

if __name__ == "__main__":
    main()
