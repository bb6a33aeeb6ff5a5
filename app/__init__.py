"""The desktop window and the command line around :mod:`proofing`."""
