"""Findings: what gets lost on the way, which kinds there are, and the textures that mark them.

:mod:`~proofing.findings.kinds` names the kinds, :mod:`~proofing.findings.visibility` says which
steps an eye can still tell apart, :mod:`~proofing.findings.overlay` draws the marks.
"""
