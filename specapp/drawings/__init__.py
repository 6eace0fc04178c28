"""Drawings as scenes of plain shapes that carry item keys; one scene feeds browser and PDF."""
