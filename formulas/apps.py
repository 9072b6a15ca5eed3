from django.apps import AppConfig


class FormulasConfig(AppConfig):
    name = "formulas"
    default_auto_field = "django.db.models.BigAutoField"
