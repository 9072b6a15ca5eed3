import os
import stat
from pathlib import Path

import pytest

from soapshop.environment import Environment, SettingRefused, kept_secret_key, made_folder


@pytest.mark.parametrize(
    ("word", "expected"), (("1", True), ("Yes", True), (" on ", True), ("0", False), ("off", False), ("", False))
)
def test_flag_reads_the_named_words(word, expected):
    assert Environment({"SOAPSHOP_DEBUG": word}).flag("SOAPSHOP_DEBUG", default=not expected) is expected


def test_flag_not_given_takes_the_default():
    assert Environment({}).flag("SOAPSHOP_DEBUG", default=True) is True


def test_flag_refusal_names_the_words():
    with pytest.raises(SettingRefused) as refusal:
        Environment({"SOAPSHOP_DEBUG": "maybe"}).flag("SOAPSHOP_DEBUG", default=False)
    assert str(refusal.value) == (
        "SOAPSHOP_DEBUG is 'maybe'. Set it to 1 (or yes, true, on) or to 0 (or no, false, off)."
    )


def test_choice_refusal_names_the_choices():
    with pytest.raises(SettingRefused) as refusal:
        Environment({"X": "tls"}).choice("X", "ssl", choices=("starttls", "ssl", "none"))
    assert str(refusal.value) == "X is 'tls'. Set it to one of: starttls, ssl, none."


@pytest.mark.parametrize("text", ("0", "65536", "eight", "-1", "1e3", "9" * 5000))
def test_whole_number_refusal_names_the_range(text):
    with pytest.raises(SettingRefused, match="Set it to a whole number from 1 to 65535"):
        Environment({"PORT": text}).whole_number("PORT", 587, lowest=1, highest=65535)


def test_whole_number_in_the_range():
    assert Environment({"PORT": "25"}).whole_number("PORT", 587, lowest=1, highest=65535) == 25


def test_hosts_are_parted_by_commas():
    environment = Environment({"HOSTS": "soap.example, 192.168.1.20"})
    assert environment.hosts("HOSTS", ("localhost",)) == ["soap.example", "192.168.1.20"]


def test_hosts_refuse_an_address():
    with pytest.raises(SettingRefused, match="Give host names only"):
        Environment({"HOSTS": "https://soap.example"}).hosts("HOSTS", ())


def test_folder_must_be_a_full_path():
    with pytest.raises(SettingRefused, match="Give a full path"):
        Environment({"FOLDER": "data"}).folder("FOLDER", Path("/srv"))


def test_secret_key_is_made_once_and_is_the_owners_alone(tmp_path):
    first = kept_secret_key(tmp_path / "shop")
    assert kept_secret_key(tmp_path / "shop") == first
    assert len(first) >= 50
    assert [path.name for path in (tmp_path / "shop").iterdir()] == ["secret-key"]
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "shop" / "secret-key").stat().st_mode) == 0o600


def test_two_shops_have_two_keys(tmp_path):
    assert kept_secret_key(tmp_path / "shop") != kept_secret_key(tmp_path / "demo")


def test_a_folder_that_cannot_be_made_is_refused_with_the_mend(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(SettingRefused, match="Make the folder above it writable, or name another place"):
        made_folder(tmp_path / "file" / "shop")
