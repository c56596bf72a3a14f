import pytest

from narrate2log.records import Draft, Fields, Observation, Placement, Transcript
from narrate2log.report.observations_csv import observations_csv

HEADING = (
    ""
    "id,row,kind,feature,standing,distance,end_distance,distance_low,distance_high,distance_basis,leg,severity,clock_from,clock_to,amount_pct,amount_in,material,size_in,depth_ft,pass,time,time_end,sightings,heard,read_as,remark,confidence,check,rules"
)


def observation(heard: str = "", *, placement: Placement, **more: object) -> Observation:
    values = {
        "id": "a1",
        "row": 1,
        "kind": "defect",
        "feature": "crack",
        "standing": "seen",
        "end_distance_mm": None,
        "fields": Fields(),
        "time_ms": 5_000,
        "time_end_ms": 6_000,
        "sightings_ms": (5_000,),
        "read_as": heard,
        "remark": "A crack.",
        "confidence": 0.9,
        "check": (),
        "rules": ("crack",),
    }
    return Observation(heard=heard, placement=placement, **{**values, **more})  # type: ignore[arg-type]


NOWHERE = Placement(1, "out", None, None, None, "none")


def draft_of(*observations: Observation) -> Draft:
    return Draft("m", Transcript((), ()), (), (), observations, ())


def lines_of(draft: Draft) -> list[str]:
    return observations_csv(draft).decode("utf-8-sig").split("\r\n")


def test_rows_as_a_spreadsheet_reads_them() -> None:
    draft = draft_of(
        observation(
            "crack, top, five percent",
            placement=Placement(1, "back", 12_340, 12_000, 12_700, "spoken"),
            fields=Fields(clock_from=12, amount_pct=5),
            sightings_ms=(5_000, 90_250),
            check=("no severity", "told twice"),
        ),
        observation("a “crack”", placement=NOWHERE, id="b2", row=2),
    )
    assert lines_of(draft) == [
        HEADING,
        "a1,1,defect,crack,seen,12.34,,12.0,12.7,spoken,1,,12,,5,,,,,back,5.0,6.0,5.0; 90.25,"
        '"crack, top, five percent","crack, top, five percent",A crack.,0.9,no severity; told twice,crack',
        "b2,2,defect,crack,seen,,,,,none,1,,,,,,,,,out,5.0,6.0,5.0,a “crack”,a “crack”,A crack.,0.9,,crack",
        "",
    ]


def test_a_draft_without_rows_has_the_heading() -> None:
    assert lines_of(draft_of()) == [HEADING, ""]


def test_spreadsheets_are_told_that_it_is_utf8() -> None:
    assert observations_csv(draft_of()).startswith(b"\xef\xbb\xbfid,")


@pytest.mark.parametrize(
    ("heard", "cell"),
    [
        ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
        ("+1 degrees", "'+1 degrees"),
        ("-2 degrees here", "'-2 degrees here"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("  =1+1", "'  =1+1"),
        ("\t=1+1", "'\t=1+1"),
        ("crack = bad", "crack = bad"),
        ("nan", "nan"),
        ("", ""),
    ],
)
def test_no_spreadsheet_runs_what_was_heard(heard: str, cell: str) -> None:
    line = lines_of(draft_of(observation(heard, placement=NOWHERE)))[1]
    assert line.split(",")[HEADING.split(",").index("heard")] == cell


def test_the_first_of_several_reasons_is_not_run_either() -> None:
    line = lines_of(draft_of(observation(placement=NOWHERE, check=("-2 may be 2", "look"))))[1]
    assert line.endswith(",'-2 may be 2; look,crack")


def test_a_negative_number_stays_a_number() -> None:
    behind_zero = Placement(1, "out", -300, -600, 0, "extrapolated")
    assert ",-0.3,,-0.6,0.0," in lines_of(draft_of(observation(placement=behind_zero)))[1]
