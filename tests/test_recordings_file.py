from pathlib import Path

import pytest

from narrate2log.recordings import read_recordings, write_recordings


def test_what_is_told_is_added_to_what_is_known(tmp_path: Path) -> None:
    assert read_recordings(tmp_path) == {}
    write_recordings(tmp_path, {"ab": tmp_path / "a.wav"})
    write_recordings(tmp_path, {"cd": tmp_path / "b.wav", "ab": tmp_path / "moved" / "a.wav"})
    assert read_recordings(tmp_path) == {"ab": tmp_path / "moved" / "a.wav", "cd": tmp_path / "b.wav"}


SCHEMA = '{"schema": "narrate2log/recordings/1"'


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "{}",
        SCHEMA + "}",
        '{"schema": "other", "recordings": {}}',
        SCHEMA + ', "recordings": [1]}',
        SCHEMA + ', "recordings": {"ab": 1}}',
    ],
)
def test_a_broken_file_knows_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "recordings.json").write_text(text, encoding="utf-8")
    assert read_recordings(tmp_path) == {}
