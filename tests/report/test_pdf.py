"""The page in print: pages of the right size, running heads, page x of y, the same numbers."""

from __future__ import annotations

import builtins
import datetime
import io
import re
import warnings
from pathlib import Path
from typing import Any

import pytest
from conftest import DEMOS, few_situations, said

from advisor.errors import InputError
from advisor.ranking.options import VIEWPOINTS
from advisor.report.page.build import render_page
from advisor.report.print.pdf import write_pdf
from advisor.report.view.choices import ranked
from advisor.report.view.figures import dollars_range

pytestmark = pytest.mark.xdist_group("pages")  # share the demos' advice on one worker


@pytest.fixture(scope="module")
def advice_of():  # type: ignore[no-untyped-def]
    """Advice from few situations: what a page shows does not depend on how many there are."""
    return few_situations


TODAY = datetime.date(2026, 3, 2)
POINTS = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}
"""8.5 x 11 in, and 210 x 297 mm (ISO 216), in points of 1/72 in."""


def read(path: Path) -> Any:
    from pypdf import PdfReader

    return PdfReader(io.BytesIO(path.read_bytes()))


@pytest.fixture(scope="module")
def printed(advice_of, tmp_path_factory):  # type: ignore[no-untyped-def]
    """Return one PDF a viewpoint, with its pages' texts."""
    folder = tmp_path_factory.mktemp("pdf")
    found = {}
    advice = max((advice_of(n) for n in DEMOS), key=lambda a: len(a.options))
    write_pdf(render_page(advice, "homeowner"), folder / "warm.pdf")  # fonts are looked for once a process
    for viewpoint in VIEWPOINTS:
        html = render_page(advice, viewpoint, today=TODAY)
        write_pdf(html, folder / f"{viewpoint}.pdf")
        document = read(folder / f"{viewpoint}.pdf")
        found[viewpoint] = (advice, document, [page.extract_text() for page in document.pages])
    return found


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_every_page_is_numbered_and_headed(printed, viewpoint: str) -> None:  # type: ignore[no-untyped-def]
    advice, document, texts = printed[viewpoint]
    total = len(texts)
    assert total >= 3
    for number, text in enumerate(texts, 1):
        assert f"Page {number} of {total}" in " ".join(text.split())
        if number > 1:
            assert advice.case.title[:20] in text
    assert document.metadata.title.startswith(advice.case.title)


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_prices_in_print_are_those_of_the_matrix(printed, viewpoint: str) -> None:  # type: ignore[no-untyped-def]
    advice, _, texts = printed[viewpoint]
    whole = re.sub(r"\s+", "", "".join(texts))
    for option in ranked(advice)[:3]:
        assert dollars_range(option.installed_cost_usd) in whole


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_paper(advice_of, tmp_path: Path, paper: str) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "page.pdf"
    html = render_page(advice_of("sound_house"), "homeowner", paper=paper)  # type: ignore[arg-type]
    write_pdf(html, path, paper)  # type: ignore[arg-type]
    for page in read(path).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(POINTS[paper], abs=0.5)


def test_what_is_folded_on_the_screen_is_printed(printed) -> None:  # type: ignore[no-untyped-def]
    whole = " ".join(" ".join(printed["homeowner"][2]).split())
    assert "What nobody has measured yet" in whole
    advice = printed["homeowner"][0]
    assert all(words.split(" (")[0] in whole for words in said(advice.assumed[:3]))


def test_one_clear_sentence_when_the_extra_is_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    real = builtins.__import__

    for failure in (ImportError("no module"), OSError("cannot load library 'pango'")):

        def refuse(name: str, *args: Any, failure: Exception = failure, **kwargs: Any) -> Any:
            if name == "weasyprint":
                raise failure
            return real(name, *args, **kwargs)

        with monkeypatch.context() as patch:
            patch.setattr(builtins, "__import__", refuse)
            with pytest.raises(InputError) as error:
                write_pdf("<p>x</p>", tmp_path / "x.pdf")
        assert "\n" not in str(error.value)
        assert "pdf" in str(error.value)
        assert "pango" in str(error.value)


def test_nothing_is_fetched_and_bad_paths_are_named(tmp_path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        write_pdf(
            "<html lang=en><title>t</title><img src='file:///etc/hostname' alt=x><p>x</p></html>", tmp_path / "a.pdf"
        )
    assert not read(tmp_path / "a.pdf").pages[0].images
    with pytest.raises(InputError, match="cannot be written"):
        write_pdf("<p>x</p>", tmp_path / "none" / "x.pdf")
