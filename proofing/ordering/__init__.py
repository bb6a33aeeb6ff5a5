"""From the look to the order: size, choice of stock, correction, order file, and what explains it.

Nothing here changes an original.
"""
