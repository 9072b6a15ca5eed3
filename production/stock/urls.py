from django.urls import path

from production.stock.views import lot_label, lots, part_lots, repack, shelf

urlpatterns = [
    path("stores/", shelf.stores, name="stores"),
    path("stores/lots/", shelf.lot_list, name="lot-list"),
    path("stores/receive/", lots.receive, name="lot-receive"),
    path("stores/lots/<slug:code>/", lots.lot, name="lot"),
    path("stores/lots/<slug:code>/label.pdf", lot_label.lot_label, name="lot-label"),
    path("stores/lots/<slug:code>/scan/", lot_label.lot_scan, name="lot-scan"),
    path("stores/lots/<slug:code>/release/", lots.lot_release, name="lot-release"),
    path("stores/lots/<slug:code>/hold/", lots.lot_hold, name="lot-hold"),
    path("stores/lots/<slug:code>/reject/", lots.lot_reject, name="lot-reject"),
    path("stores/lots/<slug:code>/weigh-back/", lots.lot_weigh_back, name="lot-weigh-back"),
    path("stores/lots/<slug:code>/take-out/", lots.lot_take_out, name="lot-take-out"),
    path("stores/lots/<slug:code>/use-by/", lots.lot_use_by, name="lot-use-by"),
    path("stores/lots/<slug:code>/repack/", repack.lot_repack, name="lot-repack"),
    path("stores/parts/new/", part_lots.part_lot_new, name="part-lot-new"),
    path("stores/parts/<slug:code>/", part_lots.part_lot, name="part-lot"),
    path("stores/parts/<slug:code>/count/", part_lots.part_lot_count, name="part-lot-count"),
    path("stores/parts/<slug:code>/look/", part_lots.part_lot_look, name="part-lot-look"),
    path("stores/parts/<slug:code>/hold/", part_lots.part_lot_hold, name="part-lot-hold"),
    path("stores/parts/<slug:code>/clear/", part_lots.part_lot_clear, name="part-lot-clear"),
    path("stores/suppliers/", shelf.supplier_list, name="supplier-list"),
    path("stores/suppliers/<int:pk>/", shelf.supplier, name="supplier"),
]
