"""The pictures, the sentence and the small signs of the window."""
