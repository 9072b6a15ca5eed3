from soapshop import checks
from soapshop.bootstrap import libraries

NOWHERE = libraries.Library(("libno-such-thing-at-all.so.9",), "libno-such-thing9")


def test_a_missing_library_is_named_with_the_line_that_installs_it(monkeypatch):
    monkeypatch.setattr(libraries, "LIBRARIES", (NOWHERE,))
    hints = checks.papers_can_be_drawn(None)
    assert [hint.id for hint in hints] == ["soapshop.W001"]
    assert "libno-such-thing9" in libraries.missing_packages()


def test_a_machine_with_all_libraries_gets_no_hint(monkeypatch):
    monkeypatch.setattr(libraries, "LIBRARIES", ())
    monkeypatch.setattr(libraries, "_has_a_font", lambda: True)
    assert checks.papers_can_be_drawn(None) == []
