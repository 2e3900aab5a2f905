"""Colour: profiles named by a job, the source's intent kept, nothing converted."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import pikepdf
import pytest
from iccsamples import profile
from pdf_samples import Sample, output_intents

from impose.errors import InputError, OutputError, PlanMismatchError
from impose.model.conditions import Conditions, Part
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file
from impose.pdf.iccprofile import MOST_BYTES, ProfileFault, parse_profile, read_press_profile
from impose.pdf.intents import Press, press_of, verify_intent
from impose.pipeline import Made, check, make
from impose.plan.wire import from_text, to_text
from impose.printroom.contents import digest_of
from impose.wishes import Wish


def job_text(more: str = "") -> str:
    return (
        '[book]\npages = ["in.pdf"]\ntrim = "200pt x 300pt"\nbinding = "saddle"\n'
        '[guts]\nstock = "0.1mm"\nsheet = "500pt x 400pt"\n' + more
    )


def source(path: Path, intent: tuple[str, bytes] | None = None, pages: int = 4) -> Path:
    sample = Sample()
    for number in range(1, pages + 1):
        sample.page(b"0 0.2 0.4 0 k 20 20 %d 40 re f" % (9 * number))
    if intent is not None:
        sample.pdf.Root.OutputIntents = output_intents(sample.pdf, *intent)
    return sample.save(path)


def made(folder: Path, more: str, intent: tuple[str, bytes] | None = None) -> Made:
    source(folder / "in.pdf", intent)
    (folder / "job.toml").write_text(job_text(more))
    job = job_from_file(folder / "job.toml", Overrides())
    return make(job, folder / "out", Wish(only=("guts", "plan"), look=False))


def codes(found: Made) -> set[str]:
    return {finding.code for finding in found.findings}


def written(folder: Path, name: str = "guts.pdf") -> list[tuple[str, bytes, int]]:
    """Condition, profile and number of channels of each intent, by the library."""
    with pikepdf.open(folder / "out" / name) as pdf:
        return [
            (
                str(intent.OutputConditionIdentifier),
                intent.DestOutputProfile.read_bytes(),
                int(intent.DestOutputProfile.get("/N", 0)),
            )
            for intent in pdf.Root.get("/OutputIntents", pikepdf.Array())
        ]


def test_the_intent_of_the_source_is_kept(tmp_path: Path) -> None:
    icc = profile(name="Source press")
    found = made(tmp_path, "", ("Source condition", icc))
    ((condition, data, _),) = written(tmp_path)
    assert (condition, data) == ("Source condition", icc)
    assert not {code for code in codes(found) if "intent" in code}


def test_a_cover_of_flat_colour_is_printed_under_the_conditions_of_the_guts(tmp_path: Path) -> None:
    icc = profile(name="Source press")
    source(tmp_path / "in.pdf", ("Source condition", icc))
    cover = '[cover]\nstock = "0.3mm"\nfill = "cmyk 0 20 80 0"\nsheet = "500pt x 400pt"\n'
    (tmp_path / "job.toml").write_text(job_text(cover))
    job = job_from_file(tmp_path / "job.toml", Overrides())
    make(job, tmp_path / "out", Wish(only=("guts", "cover"), look=False))
    for name in ("guts.pdf", "cover.pdf"):
        ((condition, data, _),) = written(tmp_path, name)
        assert (condition, data) == ("Source condition", icc)


def test_what_the_job_says_of_printing_is_in_the_plan(tmp_path: Path) -> None:
    (tmp_path / "press.icc").write_bytes(profile())
    more = '[print]\nprofile = "press.icc"\ncondition = "Lamp House 2"\nready = "X-4"\n'
    data = json.loads(to_text(made(tmp_path, more).plan))
    assert data["print"] == {"profile": "press.icc", "condition": "Lamp House 2", "ready": "X-4"}
    again = json.loads((tmp_path / "out" / "plan.json").read_text())
    assert again["print"] == data["print"]
    assert from_text(to_text(made(tmp_path, more).plan)) == made(tmp_path, more).plan
    assert "print" not in json.loads(to_text(made(tmp_path, "").plan))


def test_a_job_without_profile_and_a_source_without_intent_name_none(tmp_path: Path) -> None:
    made(tmp_path, "")
    assert written(tmp_path) == []


def test_the_profile_of_the_job_is_the_intent(tmp_path: Path) -> None:
    icc = profile()
    (tmp_path / "press.icc").write_bytes(icc)
    found = made(tmp_path, '[print]\nprofile = "press.icc"\n')
    assert written(tmp_path) == [("Custom", icc, 4)]
    assert "output-intent-named" in codes(found)
    assert "output-intent-replaced" not in codes(found)
    with pikepdf.open(tmp_path / "out" / "guts.pdf") as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert str(intent.Info) == "Harbour Press, uncoated"
        assert pikepdf.Name("/GTS_PDFX") == intent.S
        contents = [
            bytes(form.read_bytes())
            for page in pdf.pages
            for name, form in page.Resources.XObject.items()
            if name.startswith("/P")
        ]
    assert contents and all(b"0 0.2 0.4 0 k" in content for content in contents)


def test_a_condition_is_named_as_the_job_says(tmp_path: Path) -> None:
    (tmp_path / "press.icc").write_bytes(profile(version=4))
    made(tmp_path, '[print]\nprofile = "press.icc"\ncondition = "Lamp House 2"\n')
    assert written(tmp_path)[0][0] == "Lamp House 2"


def test_another_intent_in_the_source_is_told_with_both_names(tmp_path: Path) -> None:
    (tmp_path / "press.icc").write_bytes(profile())
    more = '[print]\nprofile = "press.icc"\n'
    found = made(tmp_path, more, ("Old press", profile(b"GRAY", name="Old")))
    (told,) = [f for f in found.findings if f.code == "output-intent-replaced"]
    assert "Old press (GRAY)" in told.message
    assert "Harbour Press, uncoated (CMYK)" in told.message
    assert [condition for condition, _, _ in written(tmp_path)] == ["Custom"]
    job = job_from_file(tmp_path / "job.toml", Overrides())
    assert "output-intent-replaced" in codes(check(job))


def test_the_same_profile_in_the_source_is_no_finding(tmp_path: Path) -> None:
    icc = profile()
    (tmp_path / "press.icc").write_bytes(icc)
    found = made(tmp_path, '[print]\nprofile = "press.icc"\n', ("Old press", icc))
    assert "output-intent-replaced" not in codes(found)


def test_an_intent_that_is_not_the_jobs_is_no_delivery(tmp_path: Path) -> None:
    made(tmp_path, "")
    press = Press(parse_profile(profile()), "", None)
    with pytest.raises(PlanMismatchError, match="does not carry"):
        verify_intent(tmp_path / "out" / "guts.pdf", press)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "has 0 bytes"),
        (bytes(400), "lacks the letters acsp"),
        (profile()[:-1], "it is not whole"),
        (profile() + b"x", "it is not whole"),
        (profile(b"Lab "), "colour space Lab"),
        (profile(b"4CLR"), "colour space 4CLR"),
        (profile(version=4).replace(b"\x04", b"\x05", 1), "ICC version 5"),
        (profile()[:128] + struct.pack(">I", 900) + profile()[132:], "table of 900 tags"),
        (profile()[:136] + struct.pack(">I", 10**6) + profile()[140:], "beyond its end"),
    ],
)
def test_what_is_no_profile_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(ProfileFault, match=words):
        parse_profile(data)


def test_a_profile_of_a_display_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "screen.icc"
    path.write_bytes(profile(b"RGB ", b"mntr"))
    with pytest.raises(InputError, match="of a display") as caught:
        read_press_profile(path)
    assert str(path) in caught.value.message and caught.value.hint


def test_a_profile_that_is_far_too_large_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "large.icc"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(InputError, match="at most"):
        read_press_profile(path)
    with pytest.raises(InputError, match="does not exist"):
        read_press_profile(tmp_path / "no.icc")


@pytest.mark.parametrize("version", [2, 4])
def test_its_own_name_is_read(version: int) -> None:
    found = parse_profile(profile(version=version, name="Quay 5"))
    assert (found.description, found.space, found.version[0]) == ("Quay 5", "CMYK", version)
    assert found.components == 4


def test_nothing_said_is_nothing_named() -> None:
    assert press_of(Conditions()) is None
    told = press_of(Conditions(ready=Part.X4))
    assert told is not None and told.profile is None


def test_a_profile_is_an_input(tmp_path: Path) -> None:
    """It stays in the job's folder, and is never written over."""
    source(tmp_path / "in.pdf")
    (tmp_path / "jobs").mkdir()
    source(tmp_path / "jobs" / "in.pdf")
    (tmp_path / "press.icc").write_bytes(profile())
    path = tmp_path / "jobs" / "job.toml"
    path.write_text(job_text('[print]\nprofile = "../press.icc"\n'))
    with pytest.raises(Exception, match="leads out of the job file's folder"):
        job_from_file(path, Overrides())
    path.write_text(job_text('[print]\ncondition = "x"\n'))
    with pytest.raises(Exception, match=r"print\.condition"):
        job_from_file(path, Overrides())


@pytest.mark.parametrize(("part", "header"), [("X-1a", "1.4"), ("X-3", "1.4"), ("X-4", "1.6")])
def test_sheets_are_written_in_the_version_of_the_part(
    part: str, header: str, tmp_path: Path
) -> None:
    (tmp_path / "press.icc").write_bytes(profile())
    found = made(tmp_path, f'[print]\nprofile = "press.icc"\nready = "{part}"\n')
    guts = tmp_path / "out" / "guts.pdf"
    assert guts.read_bytes().startswith(f"%PDF-{header}".encode())
    assert (b"/ObjStm" in guts.read_bytes()) == (part == "X-4")
    told = [finding.code for finding in found.findings if finding.code.startswith("ready-")]
    assert told == ["ready-no-certificate"]


def test_what_the_part_does_not_allow_is_told_of_the_sheets(tmp_path: Path) -> None:
    sample = Sample()
    sample.page(b"1 0 0 rg 20 20 30 40 re f")
    sample.save(tmp_path / "in.pdf")
    (tmp_path / "job.toml").write_text(job_text('[print]\nready = "X-1a"\n'))
    job = job_from_file(tmp_path / "job.toml", Overrides())
    found = make(job, tmp_path / "out", Wish(only=("guts", "plan"), look=False))
    told = {f.code: f for f in found.findings if f.code.startswith("ready-")}
    assert set(told) == {"ready-intent", "ready-colour", "ready-no-certificate"}
    assert "guts.pdf, page 1" in told["ready-colour"].message
    assert told["ready-colour"].pages == ()  # those of findings are pages of the source


def test_check_says_that_it_looked_at_no_sheets(tmp_path: Path) -> None:
    source(tmp_path / "in.pdf")
    (tmp_path / "job.toml").write_text(job_text('[print]\nready = "X-4"\n'))
    found = check(job_from_file(tmp_path / "job.toml", Overrides()))
    assert "ready-not-looked-at" in codes(found)


def test_another_profile_makes_an_unchanged_job_again(tmp_path: Path) -> None:
    source(tmp_path / "in.pdf")
    path = tmp_path / "job.toml"
    path.write_text(job_text('[print]\nprofile = "press.icc"\n'))
    digests = set()
    for name in ("Harbour", "Quay", "Harbour"):
        (tmp_path / "press.icc").write_bytes(profile(name=name))
        digests.add(digest_of(job_from_file(path, Overrides()), Wish()))
    assert len(digests) == 2


def test_a_profile_is_never_written_over(tmp_path: Path) -> None:
    source(tmp_path / "in.pdf")
    (tmp_path / "guts.pdf").write_bytes(profile())
    (tmp_path / "job.toml").write_text(job_text('[print]\nprofile = "guts.pdf"\n'))
    job = job_from_file(tmp_path / "job.toml", Overrides())
    with pytest.raises(OutputError, match="is an input"):
        make(job, tmp_path, Wish(only=("guts",), look=False))


def test_a_cover_without_art_names_the_profile_too(tmp_path: Path) -> None:
    (tmp_path / "press.icc").write_bytes(profile())
    source(tmp_path / "in.pdf")
    more = '[print]\nprofile = "press.icc"\nready = "X-4"\n[cover]\nsheet = "500pt x 400pt"\n'
    (tmp_path / "job.toml").write_text(job_text(more))
    job = job_from_file(tmp_path / "job.toml", Overrides())
    found = make(job, tmp_path / "out", Wish(only=("cover",), look=False))
    with pikepdf.open(tmp_path / "out" / "cover.pdf") as pdf:
        assert pdf.Root.OutputIntents[0].DestOutputProfile.read_bytes() == profile()
    assert [f.file for f in found.findings if f.code.startswith("ready-")] == ["cover.pdf"]
