"""Panels with sliders, for notebooks."""
