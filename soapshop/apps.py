from django.apps import AppConfig


class SoapshopConfig(AppConfig):
    name = "soapshop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # Registers the checks; no rule of the shop hangs on it.
        from soapshop import checks  # noqa: F401
        from soapshop.form_sentences import speak_plainly

        speak_plainly()
