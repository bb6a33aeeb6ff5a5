"""Records, type and pictures that come with the program.

A regular package, so that an installed program and an editable one find the files the same way.
"""
