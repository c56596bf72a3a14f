"""Slope: tilt readings as grades of the pipe."""
