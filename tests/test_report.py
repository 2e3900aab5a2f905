"""The report and the whole job, read as a person or a program would read them."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from impose.cli.main import run
from impose.findings import Finding
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.reports.report_html import report_html

EXAMPLES = Path(__file__).parent.parent / "examples"


@pytest.fixture(scope="module")
def perfect(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The perfect-bound example, made whole, pages looked at."""
    out = tmp_path_factory.mktemp("perfect")
    assert run(["make", str(EXAMPLES / "perfect.toml"), "--out", str(out), "--quiet"]) == 0
    return out


def test_every_file_is_there_and_plan_json_has_their_hashes(perfect: Path) -> None:
    made = json.loads((perfect / "plan.json").read_text())["made"]
    names = {path.name for path in perfect.iterdir()}
    assert set(made) | {"plan.json"} == names
    assert {"guts.pdf", "cover.pdf", "cuts.pdf", "ticket.pdf", "proof.pdf"} <= names
    for name, digest in made.items():
        assert hashlib.sha256((perfect / name).read_bytes()).hexdigest() == digest


@pytest.mark.parametrize("job", ["zine", "perfect", "sections"])
def test_the_planted_faults_are_the_only_warnings(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(EXAMPLES / f"{job}.toml"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["findings"]
    loud = [(f["severity"], f["pages"], f["side"]) for f in found if f["severity"] != "note"]
    assert sorted(loud) == [("warning", [9], "foot"), ("warning", [14], "fore-edge")]


def test_findings_link_to_pictures_that_are_there(perfect: Path) -> None:
    html = (perfect / "report.html").read_text()
    links = set(re.findall(r'href="#(page-\d+)"', html))
    assert links == {"page-9", "page-14"}
    assert all(f'id="{link}"' in html for link in links)
    assert html.count("data:image/jpeg;base64,") == 4, "each page whole, and the thing seen close"
    back = set(re.findall(r'href="#(finding-\d+)">Finding', html))
    assert back == {"finding-1", "finding-2"}
    assert not re.findall(r'(?:src|href)="https?:', html)


def test_the_cover_has_its_open_size_as_trim_box(perfect: Path) -> None:
    """Back + spine + front: 5.5 + 0.0672 + 5.5 in wide, 8.5 in high, in points."""
    trim = PdfReader(perfect / "cover.pdf").pages[0].trimbox
    assert float(trim.width) == pytest.approx((11 + 0.0672) * 72, abs=1e-3)
    assert float(trim.height) == pytest.approx(8.5 * 72, abs=1e-3)


def test_the_proof_reads_from_cover_to_cover(perfect: Path) -> None:
    text = [page.extract_text() for page in PdfReader(perfect / "proof.pdf").pages]
    assert "front" in text[0]
    assert "inside front" in text[1]
    assert any("back" in words for words in text[-2:])


def test_a_book_that_would_be_spoiled_says_so_first(perfect: Path) -> None:
    plan = from_text((perfect / "plan.json").read_text())
    bad = Finding.error("text-cut", "the <last> line of page 3 is cut off", pages=(3,))
    html = report_html(_with(plan, bad))
    assert "DO NOT PRINT" in html
    assert html.index("DO NOT PRINT") < html.index("Trim size")
    assert "the &lt;last&gt; line" in html and "<last>" not in html
    assert "DO NOT PRINT" not in report_html(plan)


def _with(plan: Plan, finding: Finding) -> Plan:
    return replace(plan, findings=(*plan.findings, finding))
