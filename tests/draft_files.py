"""The files that a draft leaves."""

DRAFT_FILES = {
    "observations.csv",
    "observations.json",
    "slope.csv",
    "slope.svg",
    "track.json",
    "track.svg",
    "transcript.vtt",
    "words.json",
}
