from django.apps import AppConfig


class SoapshopConfig(AppConfig):
    name = "soapshop"
    default_auto_field = "django.db.models.BigAutoField"
