"""Listening during the push: sound in, rows out as they are spoken, all of it kept."""
