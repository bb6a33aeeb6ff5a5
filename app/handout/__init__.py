"""Pages of a sheet that explains a print to a customer: one drawing for PDF and PNG.

``geometry`` says where things may lie, ``parts`` what can be drawn, ``type`` how words are set,
``flow`` how they run through columns and pages, ``places`` how places are outlined and ``details``
how they are drawn larger, ``composing`` puts an explanation on pages, and ``writing`` makes the
files.
"""
