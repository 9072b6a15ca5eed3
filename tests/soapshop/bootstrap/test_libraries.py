import pytest

from soapshop.bootstrap import libraries


@pytest.mark.parametrize(
    ("platform", "line"),
    (
        ("linux", "sudo apt-get install --no-install-recommends libpango-1.0-0 fonts-dejavu-core"),
        ("darwin", "brew install pango"),
        ("win32", "pacman -S mingw-w64-x86_64-pango  (in the MSYS2 shell, from msys2.org)"),
    ),
)
def test_the_line_to_type_fits_the_system(platform, line):
    assert libraries.line_to_type(["libpango-1.0-0", "fonts-dejavu-core"], platform=platform) == line


def test_a_library_that_does_not_exist_is_missing():
    nowhere = libraries.Library(("libno-such-thing-at-all.so.9",), "no-such-package")
    assert not libraries._loads(nowhere)


def test_a_library_that_exists_is_found():
    names = ("libc.so.6", "libSystem.dylib", "kernel32.dll")
    assert libraries._loads(libraries.Library(names, "libc6"))
