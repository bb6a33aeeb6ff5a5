"""The demonstration exhibition. A regular package, so that an installed program finds it."""
