from django.apps import AppConfig


class ProductionConfig(AppConfig):
    name = "production"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from production.cure.packing_reads import order_panel
        from soapshop.panels import add_panel

        add_panel("orders.order", order_panel)
