from django.apps import AppConfig


class ProductionConfig(AppConfig):
    name = "production"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from orders.agreement.pour_days import add_pour_reader
        from orders.agreement.repeat import add_since_reader
        from orders.interchange.days import add_day_source
        from orders.records import add_made_reader
        from production import panels
        from production.batches.panels import cancel_order_panel
        from production.batches.what_went_in import made_of_lines
        from production.batches.yields import mold_yield_panel
        from production.costing.compared import compared_costs
        from production.costing.for_orders import batch_days, lots_since, pour_day
        from production.costing.month import month_panel
        from production.costing.reads import design_cost_panel, freight_panel, order_cost_panel
        from production.cure.packing_reads import order_panel
        from production.part_batches.reads import part_batches_panel
        from production.plan.panels import bookings_panel, promise_panel, weight_panel
        from production.test_pours.reads import test_pours_panel
        from production.trouble.reads import trouble_panel
        from soapshop.panels import add_panel

        add_panel("orders.making", panels.order_batches)
        add_panel("orders.making", promise_panel)
        add_panel("orders.making", bookings_panel)
        add_panel("orders.making", weight_panel)
        add_panel("orders.making", order_panel)
        add_panel("orders.making", cancel_order_panel)
        add_panel("formulas.design", test_pours_panel)
        add_panel("formulas.design", panels.design_batches)
        add_panel("formulas.revision", panels.revision_batches)
        add_panel("formulas.material", panels.material_lots)
        add_panel("formulas.part", part_batches_panel)
        add_panel("formulas.part", panels.part_lots)
        add_panel("formulas.mold", mold_yield_panel)
        add_panel("formulas.compare", compared_costs)
        add_panel("orders.making", order_cost_panel)
        add_panel("orders.making", trouble_panel)
        add_panel("orders.house-terms", freight_panel)
        add_panel("orders.money", month_panel)
        add_panel("formulas.design", design_cost_panel)
        add_pour_reader(pour_day)
        add_since_reader(lots_since)
        add_made_reader(made_of_lines)
        add_day_source(batch_days)
