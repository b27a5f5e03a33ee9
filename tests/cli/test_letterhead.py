"""The letterhead of whoever lends the drill stands on every paper, and no paper needs more pages for it."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from conftest import SAMPLES
from living import Clerk, row
from pypdf import PdfReader

from fieldplan.cli.main import exit_code

HEAD = "Thistle Flats District (invented)"
WRITE = "cover,sheet,setup,labels,bag-labels,loads,order,page"


def _written(folder: Path, *lines: str) -> Path:
    job = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    job = job.replace("rates.toml", (SAMPLES / "rates.toml").as_posix())
    text = job.replace("[drill]", "\n".join(("[drill]", *lines)), 1)
    assert text != job or not lines
    folder.mkdir()
    (folder / "job.toml").write_text(text, encoding="utf-8")
    line = [
        "plan",
        str(SAMPLES / "farm.geojson"),
        "--job",
        str(folder / "job.toml"),
        "--today",
        "2027-04-01",
        "-q",
    ]
    assert exit_code([*line, "--out", str(folder / "out"), "--write", WRITE]) == 0
    return folder / "out"


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plan's papers with a letterhead of two lines."""
    folder = tmp_path_factory.mktemp("with") / "a"
    return _written(
        folder, f'letterhead = ["{HEAD}", "12 Depot Road & Lane"]', 'lender = "Office, 555-0100"'
    )


def test_every_paper_of_a_plan_stands_under_the_letterhead(papers: Path) -> None:
    """All PDF files, the page, and the printed seed order."""
    found = sorted(papers.glob("*.pdf"))
    assert len(found) >= 6
    for path in found:
        text = " ".join((PdfReader(path).pages[0].extract_text()).split())
        assert HEAD in text, path.name
        assert "12 Depot Road & Lane" in text, path.name
    assert HEAD in (papers / "plan.html").read_text(encoding="utf-8")
    with zipfile.ZipFile(papers / "seed-order.xlsx") as book:
        sheet = book.read("xl/worksheets/sheet1.xml").decode()
    assert f"&amp;R{HEAD} · 12 Depot Road &amp;&amp; Lane" in sheet


def test_labels_themselves_have_no_letterhead(papers: Path) -> None:
    """It stands above the list of what to bring; the sheets of labels are laid out for their stock."""
    pages = [page.extract_text() for page in PdfReader(papers / "bag-labels.pdf").pages]
    assert HEAD in pages[0]
    assert not [text for text in pages[1:] if HEAD in text]


def test_no_paper_gets_longer_by_it(papers: Path, tmp_path: Path) -> None:
    """As many pages as without one."""
    without = _written(tmp_path / "b")
    for path in papers.glob("*.pdf"):
        assert len(PdfReader(path).pages) == len(PdfReader(without / path.name).pages), path.name


def test_a_plan_without_one_has_none(tmp_path: Path) -> None:
    """Nothing is made up."""
    without = _written(tmp_path / "b")
    assert "555-0100" not in PdfReader(without / "load-list.pdf").pages[0].extract_text()


def test_papers_of_a_season_and_of_the_store_of_seed_have_it_too(tmp_path: Path, papers: Path) -> None:
    """Each sheet of the season's spreadsheet where it is printed, and the page of what seed a job needs."""
    clerk = Clerk(tmp_path / "spring").season(letterhead=f'["{HEAD}"]').list(row("A"))
    clerk.does(f"plan --what-if --out {tmp_path / 'season'}")
    with zipfile.ZipFile(tmp_path / "season" / "season.xlsx") as book:
        sheets = [name for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
        assert len(sheets) == 3
        assert all(f"&amp;R{HEAD}" in book.read(name).decode() for name in sheets)
    job = str(papers.parent / "job.toml")
    line = ["stock", "need", str(SAMPLES / "stock.csv"), str(SAMPLES / "farm.geojson"), "--job", job]
    assert exit_code([*line, "--today", "2027-04-01", "--out", str(tmp_path / "need")]) == 0
    (path,) = (tmp_path / "need").glob("*.pdf")
    assert HEAD in PdfReader(path).pages[0].extract_text()


SEASON = str(SAMPLES / "season.toml")
LISTED = ["stock", "list", str(SAMPLES / "stock.csv"), "--today", "2027-04-01"]


@pytest.mark.parametrize(
    ("line", "pdf"),
    [
        (["mix", str(SAMPLES / "target.toml")], "mix.pdf"),
        (LISTED, "stock.pdf"),
        (["weather", str(SAMPLES / "station.csv")], "weather.pdf"),
    ],
)
def test_papers_of_no_job_and_no_season_get_the_letterhead_of_a_file(
    line: list[str], pdf: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On paper and on the page, its lines in their order; without the option there is none."""
    assert exit_code([*line, "--letterhead", SEASON, "--out", str(tmp_path / "with")]) == 0
    page = capsys.readouterr().out
    assert page.startswith("Thistle Flats Soil District (invented)\n12 Depot Road, Thistle Flats\n\n")
    text = PdfReader(tmp_path / "with" / pdf).pages[0].extract_text()
    assert "Thistle Flats Soil District (invented)\n12 Depot Road, Thistle Flats" in text
    assert exit_code([*line, "--out", str(tmp_path / "without")]) == 0
    assert page.partition("\n\n")[2] == capsys.readouterr().out
    assert "Depot" not in PdfReader(tmp_path / "without" / pdf).pages[0].extract_text()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[drill]\nletterhead = ["A & B"]', "A & B\n\n"),
        ('[drill]\nuse = "other.toml"', "Other\n\n"),
        ('[season]\nletterhead = ["S"]\n[[drill]]\nletterhead = ["D"]', "S\n\n"),
        ('[season]\nname = "x"\n[[drill]]\nname = "y"', "has no letterhead"),
        ("[working]", "has no letterhead"),
        ('[drill]\nletterhead = "A"', "letterhead"),
        ('[drill]\nletterhead = ["A", 3]', "letterhead"),
        ("drill = 3", "drill"),
        ('[drill]\nuse = "gone.toml"', "gone.toml"),
    ],
)
def test_a_letterhead_is_that_of_the_season_or_the_drill_or_refused(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file without one is refused, since it was asked for; nothing else of the file is read."""
    (tmp_path / "other.toml").write_text('[drill]\nletterhead = ["Other"]', encoding="utf-8")
    (tmp_path / "head.toml").write_text(text, encoding="utf-8")
    code = exit_code([*LISTED, "--letterhead", str(tmp_path / "head.toml")])
    printed = capsys.readouterr()
    if said.endswith("\n\n"):
        assert code == 0
        assert printed.out.startswith(said)
    else:
        assert code == 3
        assert said in printed.err
        assert not printed.out
