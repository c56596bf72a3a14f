"""The files of a draft, one writer each.

How to add one:

1. Write `report/NAME.py` with one function that takes the whole `Draft` and returns the bytes
   of its file. It opens nothing and decides nothing: what a row says is settled in `table`.
2. Convert times and lengths through `units`; import a heavy library inside the function.
3. Add a line to `WRITERS`: the file's name in the draft folder, and the function.
4. Test it in `tests/report/test_NAME.py`: a literal draft in, the literal file out.

`draft_folder` writes whatever is registered here; it knows no format.
"""

from __future__ import annotations

from collections.abc import Callable

from narrate2log.records import Draft
from narrate2log.report.observations_csv import observations_csv
from narrate2log.report.observations_json import observations_json
from narrate2log.report.slope_csv import slope_csv
from narrate2log.report.slope_svg import slope_svg
from narrate2log.report.track_json import track_json
from narrate2log.report.track_svg import track_svg
from narrate2log.report.transcript_vtt import transcript_vtt
from narrate2log.report.words_json import words_json

Writer = Callable[[Draft], bytes]

# In the order they are put in place: observations.json last, since it is what makes a folder a draft.
WRITERS: dict[str, Writer] = {
    "transcript.vtt": transcript_vtt,
    "words.json": words_json,
    "track.json": track_json,
    "track.svg": track_svg,
    "observations.csv": observations_csv,
    "slope.csv": slope_csv,
    "slope.svg": slope_svg,
    "observations.json": observations_json,
}
