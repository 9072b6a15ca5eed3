from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "orders"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from orders.agreement.reads import agreement_panel
        from orders.money.order_pages import money_panel
        from soapshop.panels import add_panel

        add_panel("orders.order", agreement_panel)
        add_panel("orders.order", money_panel)
