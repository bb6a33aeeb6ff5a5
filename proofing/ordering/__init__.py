"""From the look to the order: size, stock, correction, the order file and what explains them.

Nothing here changes an original.
"""
