"""Every worked example of the check table has a test of its own."""

import re
from pathlib import Path

from tests.formulas.tables.label_cases import label_checks

TESTS = Path(__file__).parent.parent


def test_every_row_of_the_check_table_is_a_case():
    files = [*TESTS.glob("formulas/test_declaration*.py"), *TESTS.glob("formulas/test_label_rules*.py")]
    files += [TESTS / "production/test_net_weight.py", TESTS / "production/test_lot_test.py"]
    text = "\n".join(file.read_text(encoding="utf-8") for file in files)
    assert set(re.findall(r'case\(\s*"([A-Z]{2}\d{2})"', text)) == set(label_checks())
    assert len(label_checks()) == 101


def test_every_row_names_its_source():
    assert [row["id"] for row in label_checks().values() if not row["source"]] == []
