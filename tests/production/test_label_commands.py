"""Labels and lists from the command line: 0 done, 2 refused with the reason."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from production.labels.models import LabelPrint
from tests.production.label_shop import TODAY, cut_from, planned_batch, released_batch, weighed_batch


@pytest.fixture(autouse=True)
def _day(monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


def run(*words):
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def refused(*words):
    with pytest.raises(CommandError) as refusal:
        call_command(*words, stdout=StringIO())
    assert refusal.value.returncode == 2
    return str(refusal.value)


def test_labels_are_printed_to_a_file_and_kept(owner, workshop, tmp_path):
    released_batch(owner)
    path = tmp_path / "labels.pdf"
    words = ("--finish", "plain", "--pdf", str(path), "--by", "owner", "--json")
    figures = json.loads(run("label_sheet", "b26-001", *words))
    kept = LabelPrint.objects.get()
    assert path.read_bytes().startswith(b"%PDF")
    assert (figures["copies"], figures["net_weight"], figures["sha256"]) == (3, "Net Wt 4.01 oz (113 g)", kept.sha256)
    assert kept.printed_by == owner


def test_the_finish_with_most_bars_is_taken(owner, workshop, tmp_path):
    released_batch(owner)
    assert run("label_sheet", "B26-001", "--pdf", str(tmp_path / "l.pdf")).startswith("8 labels for B26-001, Seal:")


def test_bars_in_cure_get_a_trial_alone(owner, workshop, tmp_path):
    cut_from(weighed_batch(owner), owner)
    path = tmp_path / "labels.pdf"
    assert "not released" in refused("label_sheet", "B26-001", "--pdf", str(path))
    assert not path.exists()
    run("label_sheet", "B26-001", "--trial", "--pdf", str(path))
    assert path.read_bytes().startswith(b"%PDF")
    assert LabelPrint.objects.count() == 0


REFUSED = {
    "no such finish": ("--finish", "moon"),
    "none": ("--copies", "0"),
    "less than none": ("--copies", "-4"),
    "beyond the sheet": ("--start", "99"),
    "a weight that does not hold": ("--net", "9 oz"),
    "no such account": ("--by", "nobody"),
    "a list that does not fit": ("--stock", "letter-30"),
    "no such stock": ("--stock", "moon"),
    "a wording nobody ordered": ("--wording", "moon"),
    "a logo that is not kept": ("--logo",),
    "a sticker of words with nowhere for the rest": ("--layout", "words", "--stock", "favor-letter"),
}


def test_what_cannot_be_printed_is_refused(owner, workshop, tmp_path):
    released_batch(owner)
    said = {
        slip: refused("label_sheet", "B26-001", "--pdf", str(tmp_path / "l.pdf"), *w) for slip, w in REFUSED.items()
    }
    assert [slip for slip, words in said.items() if not words.endswith(".")] == []
    assert LabelPrint.objects.count() == 0


def test_a_favor_sticker_is_printed_from_the_command_line(owner, workshop, tmp_path):
    released_batch(owner, wording="For Ada & Leo")
    words = ("--layout", "words", "--stock", "favor-letter", "--elsewhere", "tag", "--pdf", str(tmp_path / "l.pdf"))
    run("label_sheet", "B26-001", *words)
    kept = LabelPrint.objects.get()
    face = kept.frozen["paper"]["runs"][0]["face"]
    assert (kept.is_second, face["wording"], face["net_weight"]) == (True, "For Ada & Leo", "")


def test_a_folder_that_is_not_there_is_refused_before_anything_is_kept(owner, workshop, tmp_path):
    released_batch(owner)
    assert "There is no folder" in refused("label_sheet", "B26-001", "--pdf", str(tmp_path / "no" / "l.pdf"))
    assert LabelPrint.objects.count() == 0


def test_an_unknown_batch_is_refused(workshop, tmp_path):
    assert refused("declaration", "B99-001") == "There is no batch “B99-001”. Look it up at the bench."
    assert refused("label_sheet", "x" * 500, "--pdf", str(tmp_path / "l.pdf"))


def test_the_list_of_every_finish_as_figures(owner, workshop):
    released_batch(owner)
    found = json.loads(run("declaration", "B26-001", "--market", "eu", "--style", "as_resulting", "--json"))
    assert [finish["finish"] for finish in found["finishes"]] == ["seal", "seal+shell", "plain"]
    plain = found["finishes"][2]
    assert plain["text"] == (
        "Sodium Olivate, Sodium Cocoate, Aqua, Glycerin, Olea Europaea Fruit Oil, Parfum, Cocos Nucifera Oil, "
        "Linalool, CI 77019"
    )
    assert plain["balance"]["residual_grams"] == 0
    assert [line["is_declared"] for line in plain["allergens"]] == [True]


def test_one_finish_in_words(owner, workshop):
    released_batch(owner)
    assert run("declaration", "B26-001", "--finish", "plain") == (
        "B26-001 Plain, 2 bars\n"
        "Ingredients: Olea Europaea (Olive) Fruit Oil, Cocos Nucifera (Coconut) Oil, Water, Sodium Hydroxide, "
        "Fragrance, Mica\n"
    )


def test_a_list_on_planned_weights_is_refused_with_its_mend(owner, workshop):
    planned_batch(owner)
    assert "Weigh every line at the bench first." in refused("declaration", "B26-001", "--json")


def test_a_finish_that_is_not_there_names_those_that_are(owner, workshop):
    released_batch(owner)
    words = refused("declaration", "B26-001", "--finish", "moon")
    assert words == "Batch B26-001 has no such finish. Its finishes: seal, seal+shell, plain."
