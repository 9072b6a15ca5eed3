"""A real browser opens a new shop, signs out and in, and looks at the settings on a phone."""

from tests.browser.conftest import PHONE
from tests.conftest import PASSWORD


def test_a_new_shop_is_opened_by_its_owner(page, assert_accessible, assert_fits_width):
    page.goto("/")
    assert page.url.endswith("/first-owner/")
    assert_accessible(page)
    page.get_by_label("Name of your workshop").fill("Heron Reach Soap")
    page.get_by_label("Your name").fill("Maud")
    page.get_by_label("Name to sign in with").fill("maud")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Open the shop").click()
    page.wait_for_url("**/settings/")
    assert page.get_by_text("The shop is open.").is_visible()
    assert_accessible(page)
    assert_fits_width(page)


def test_settings_are_saved_on_a_phone(new_page, sign_in, assert_accessible, assert_fits_width):
    page = sign_in(new_page(viewport=PHONE))
    page.goto("/settings/")
    assert_fits_width(page)
    assert_accessible(page)
    page.get_by_label("Cure days", exact=True).fill("20")
    page.get_by_role("button", name="Save the settings").click()
    assert page.get_by_text("The least cure cannot be longer than the usual cure.").first.is_visible()
    assert page.get_by_label("Cure days", exact=True).input_value() == "20"
    page.get_by_label("Cure days", exact=True).fill("56")
    page.get_by_role("button", name="Save the settings").click()
    assert page.get_by_text("The settings are saved.").is_visible()


def test_sign_in(new_page, shop_owner, assert_accessible):
    page = new_page()
    page.goto("/settings/")
    page.get_by_label("Username").fill("owner")
    page.get_by_label("Password").fill(PASSWORD)
    assert_accessible(page)
    page.keyboard.press("Enter")
    page.wait_for_url("**/settings/")
