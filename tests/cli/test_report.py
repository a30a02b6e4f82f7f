"""What `report` writes, and when it refuses."""

from __future__ import annotations

import json
import re

import pytest

DAY = re.compile(r"\d{4}-\d\d-\d\d, rimfea \d")


@pytest.mark.long
def test_a_report_on_one_rim_is_a_page_and_a_pdf_in_place_of_others_only_if_asked(
    rimfea, ouzel, tmp_path
):
    page, paper = tmp_path / "ouzel.html", tmp_path / "ouzel.pdf"
    words = ["report", ouzel, "--setup", "trail", "--out", page, "--pdf", paper]
    for file in (page, paper):
        file.write_text("dear to me")
        done = rimfea(*words)
        assert done.exit_code == 2
        assert f"{file}: is already there; add --overwrite" in done.stderr
        assert [each.read_text() for each in tmp_path.iterdir()] == ["dear to me"]
        file.unlink()
    for file in (page, paper):
        file.write_text("dear to me")
    done = rimfea(*words, "--date", "--overwrite")
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == f"Report: {page}\nReport: {paper}\n"
    written = page.read_text(encoding="utf-8")
    assert written.startswith("<!DOCTYPE html>")
    assert "Set-up trail" in written
    assert DAY.search(written)
    content = paper.read_bytes()
    assert content.startswith(b"%PDF")
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") >= 2


@pytest.mark.long
def test_a_report_on_two_rims_holds_them_against_the_base(rimfea, ouzel, plover, tmp_path):
    page = tmp_path / "both.html"
    done = rimfea("report", ouzel, plover, "--base", "plover", "--out", page, "--json")
    assert done.exit_code == 0
    written = page.read_text(encoding="utf-8")
    assert "ouzel against plover" in written
    assert "· rimfea " in written
    assert not DAY.search(written)  # nobody asked for one
    assert [rim["name"] for rim in json.loads(done.stdout)["rims"]] == ["ouzel", "plover"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "Missing option '--out'"),
        (("--out", "rim.htm"), "end it in .html"),
        (("--out", "rim.html", "--pdf", "rim.png"), "end it in .pdf"),
        (("--out", "no-such-folder/rim.html"), "there is no folder"),
        (("--out", "rim.html", "--base", "heron"), "no rim here is called so"),
        (("--out", "rim.html", "--setup", "moon"), "moon"),
    ],
)
def test_what_cannot_be_done_ends_with_status_2(rimfea, ouzel, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    done = rimfea("report", ouzel, *words)
    assert done.exit_code == 2
    assert told in done.stderr
    assert [*tmp_path.iterdir()] == []


def test_a_sheet_with_faults_leaves_no_page(rimfea, sheet, tmp_path):
    page = tmp_path / "rim.html"
    done = rimfea("report", sheet(sidewall_mm='"thick"'), "--out", page)
    assert done.exit_code == 2
    assert "sidewall_mm" in done.stderr
    assert not page.exists()
