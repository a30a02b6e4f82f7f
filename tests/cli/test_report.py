"""What `report` writes, and when it refuses."""

from __future__ import annotations

import json

import pytest


def test_a_report_on_one_rim_is_a_page_and_a_pdf(rimfea, merlin, tmp_path):
    page, paper = tmp_path / "merlin.html", tmp_path / "merlin.pdf"
    done = rimfea("report", merlin, "--setup", "trail", "--out", page, "--pdf", paper)
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == f"Report: {page}\nReport: {paper}\n"
    written = page.read_text(encoding="utf-8")
    assert written.startswith("<!DOCTYPE html>")
    assert "Set-up trail" in written
    content = paper.read_bytes()
    assert content.startswith(b"%PDF")
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") >= 2


def test_a_report_on_two_rims_holds_them_against_the_base(rimfea, merlin, plover, tmp_path):
    page = tmp_path / "both.html"
    done = rimfea("report", merlin, plover, "--base", "plover", "--out", page, "--json")
    assert done.exit_code == 0
    assert "merlin against plover" in page.read_text(encoding="utf-8")
    assert [rim["name"] for rim in json.loads(done.stdout)["rims"]] == ["merlin", "plover"]


@pytest.mark.parametrize("option", ["--out", "--pdf"])
def test_a_file_that_is_there_is_replaced_only_when_asked(rimfea, merlin, tmp_path, option):
    files = {"--out": tmp_path / "rim.html", "--pdf": tmp_path / "rim.pdf"}
    files[option].write_text("dear to me")
    words = [word for pair in files.items() for word in pair]
    done = rimfea("report", merlin, *words)
    assert done.exit_code == 2
    assert "already there; add --overwrite" in done.stderr
    assert [file for file in files.values() if file.exists()] == [files[option]]
    assert files[option].read_text() == "dear to me"
    assert rimfea("report", merlin, *words, "--overwrite").exit_code == 0
    assert files[option].read_bytes()[:10] != b"dear to me"


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
def test_what_cannot_be_done_ends_with_status_2(rimfea, merlin, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    done = rimfea("report", merlin, *words)
    assert done.exit_code == 2
    assert told in done.stderr
    assert [*tmp_path.iterdir()] == []


def test_a_sheet_with_faults_leaves_no_page(rimfea, sheet, tmp_path):
    page = tmp_path / "rim.html"
    done = rimfea("report", sheet(sidewall_mm='"thick"'), "--out", page)
    assert done.exit_code == 2
    assert "sidewall_mm" in done.stderr
    assert not page.exists()
