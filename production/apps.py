from django.apps import AppConfig


class ProductionConfig(AppConfig):
    name = "production"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from production import panels
        from production.batches.panels import cancel_order_panel
        from production.cure.packing_reads import order_panel
        from soapshop.panels import add_panel

        add_panel("orders.order", panels.order_batches)
        add_panel("orders.order", order_panel)
        add_panel("orders.order", cancel_order_panel)
        add_panel("formulas.design", panels.design_batches)
        add_panel("formulas.revision", panels.revision_batches)
        add_panel("formulas.material", panels.material_lots)
        add_panel("formulas.part", panels.part_lots)
