"""Templates as compiled are kept for the options that they were compiled with; what is broken there is made anew."""

from __future__ import annotations

import jinja2
import pytest

from pourwright import caches, pages

WORDS = {"wide": 10.0, "tall": 20.0, "scale": "1:1", "title": "a < b", "views": []}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.delenv("POURWRIGHT_KEPT")
    caches.own.cache_clear()
    yield tmp_path / "pourwright" / "pages"
    caches.own.cache_clear()


def _page(**options) -> str:
    return pages.page_maker(**options).get_template("wedges.svg").render(**WORDS)


def _plain(**options) -> str:
    loader = jinja2.PackageLoader("pourwright.report", "templates")
    return jinja2.Environment(loader=loader, autoescape=True, **options).get_template("wedges.svg").render(**WORDS)


def test_a_page_is_the_same_when_compiled_read_back_and_read_back_broken(folder):
    expected = _plain(trim_blocks=True)
    assert "a &lt; b" in expected
    assert _page(trim_blocks=True) == expected
    (file,) = folder.iterdir()
    written = file.read_bytes()
    assert _page(trim_blocks=True) == expected
    for broken in (b"", b"nothing of ours", written[: len(written) // 2]):
        file.write_bytes(broken)
        assert _page(trim_blocks=True) == expected


def test_other_options_have_what_was_compiled_with_them(folder):
    for options in ({}, {"trim_blocks": True}, {"lstrip_blocks": True}, {"finalize": str}):
        assert _page(**options) == _page(**options) == _plain(**options)
    assert len(list(folder.iterdir())) == 4


def test_nothing_is_kept_where_that_is_asked_or_nothing_can_be_written(folder, monkeypatch):
    folder.parent.mkdir(mode=0o700)
    folder.write_text("no folder")
    assert _page() == _plain()
    folder.unlink()
    monkeypatch.setenv("POURWRIGHT_KEPT", "no")
    assert _page() == _plain()
    assert not folder.exists()
