"""Choosers, the legend of the marks, and the probe."""
