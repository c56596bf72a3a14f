"""What is said of pulling before the camera is in the pipe turns nothing around."""

from __future__ import annotations

from reading.marked import rows_of


def test_wipes_pulled_out_at_easter_are_no_way_home() -> None:
    rows = rows_of(
        "All right, we're rolling. The lady upstairs says they had it snaked and the guy pulled out wipes."
        " Counter's zeroed. Going in. Roots at this joint. Crack on the left. That's the city connection."
    )
    assert {"roots", "crack", "city-connection"} <= {row.feature for row in rows}
    assert all(row.placement.going == "out" for row in rows)
    assert {row.placement.leg for row in rows} == {1}
