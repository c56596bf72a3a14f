"""Footage: where the camera was when something was said. Knows times and distances, not what things mean."""
