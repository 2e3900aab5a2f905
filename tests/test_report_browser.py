"""The report in a real browser: everything loads, every link leads somewhere, nothing overflows."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from browser import need_browser, open_in_browser

from impose.cli.main import run

EXAMPLES = Path(__file__).parent.parent / "examples"
#: A telephone, and a desk.
WIDTHS = (360, 1280)


@pytest.fixture(autouse=True, scope="module")
def _browser(tmp_path_factory: pytest.TempPathFactory) -> None:
    need_browser(tmp_path_factory.mktemp("browser"))


@pytest.mark.parametrize("job", ["zine", "perfect", "sections"])
def test_the_report_is_whole_on_a_telephone_and_on_a_desk(job: str, tmp_path: Path) -> None:
    made = tmp_path / "made"
    options = ["--out", str(made), "--quiet", "--only", "report,cuts"]
    assert run(["make", str(EXAMPLES / f"{job}.toml"), *options]) == 0
    for dark in (False, True) if job == "perfect" else (False,):
        seen = open_in_browser(made / "report.html", tmp_path, WIDTHS, dark)
        assert seen.console == []
        assert set(seen.at) == set(WIDTHS)
        for one in seen.at.values():
            assert one["images"] >= 4, "two pages, and each seen close"
            assert (one["broken"], one["dead"], one["doubled"]) == (0, [], [])
            assert (one["scroll"], one["outside"]) == (0, [])
            assert one["unnamed"] == 0
            assert one["smallest"] >= 14
            assert one["pale"] == []
            assert one["dark"] is dark
            _in_order(one["headings"])


def _in_order(levels: list[int]) -> None:
    """One first heading, and no level left out on the way down."""
    assert levels.count(1) == 1 and levels[0] == 1
    assert all(below <= above + 1 for above, below in pairwise(levels))


def test_the_browser_sees_what_is_wrong_with_a_page(tmp_path: Path) -> None:
    """Else the test above would prove nothing."""
    page = tmp_path / "bad.html"
    page.write_text(
        '<!DOCTYPE html><html><body style="background:#fff"><h1>One</h1><h3 id="a">Three</h3>'
        '<p id="a" style="color:#999;font-size:9px">pale and small</p><a href="#nowhere">x</a>'
        '<svg viewBox="0 0 9 9"><image href="data:image/jpeg;base64,AAAA" width="9" height="9"/>'
        '</svg><div style="width:700px">wide</div>'
        '<script>console.error("something is wrong")</script></body></html>',
        "utf-8",
    )
    seen = open_in_browser(page, tmp_path, (360,))
    one = seen.at[360]
    assert any("something is wrong" in line for line in seen.console)
    assert (one["broken"], one["dead"], one["doubled"]) == (1, ["#nowhere"], ["a"])
    assert one["scroll"] > 300 and one["outside"] and one["unnamed"] == 1
    assert one["smallest"] == 9 and any("pale and small" in line for line in one["pale"])
    with pytest.raises(AssertionError):
        _in_order(one["headings"])
