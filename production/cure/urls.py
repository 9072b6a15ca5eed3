from django.urls import path, register_converter

from production.cure.views import bars, batch, packing, rack


class FinishConverter:
    """The key of a finish: short names of parts joined by +."""

    regex = r"[-a-zA-Z0-9_+]+"

    def to_python(self, text: str) -> str:
        return text

    def to_url(self, finish: str) -> str:
        return finish


register_converter(FinishConverter, "finish")

urlpatterns = [
    path("cure/", rack.cure_rack, name="cure-rack"),
    path("cure/look/", rack.cure_look, name="cure-look"),
    path("cure/find/", rack.cure_find, name="cure-find"),
    path("cure/<slug:number>/", batch.cure_batch, name="cure-batch"),
    path("cure/<slug:number>/weigh/", batch.cure_weigh, name="cure-weigh"),
    path("cure/<slug:number>/check/<slug:method>/", batch.cure_check, name="cure-check"),
    path("cure/<slug:number>/release/", batch.cure_release, name="cure-release"),
    path("cure/<slug:number>/hold/", batch.cure_hold, name="cure-hold"),
    path("cure/<slug:number>/clear/", batch.cure_clear, name="cure-clear"),
    path("cure/<slug:number>/reject/", batch.cure_reject, name="cure-reject"),
    path("cure/<slug:number>/bars/", bars.cure_bars, name="cure-bars"),
    path("cure/<slug:number>/bars/sound/", bars.cure_put_back, name="cure-put-back"),
    path("cure/<slug:number>/bars/gone/", bars.cure_let_go, name="cure-let-go"),
    path("cure/<slug:number>/bars/finish/", bars.cure_finish, name="cure-finish"),
    path("packing/<slug:number>/", packing.packing_list, name="packing"),
    path("packing/<slug:number>/reserve/", packing.packing_allocate, name="packing-reserve"),
    path("packing/<slug:number>/pack/", packing.packing_pack, name="packing-pack"),
    path("packing/<slug:number>/hand-over/", packing.packing_hand_over, name="packing-hand-over"),
    path("packing/<slug:number>/return/", packing.packing_return, name="packing-return"),
    path("packing/<slug:number>/swap/", packing.packing_swap, name="packing-swap"),
    path("packing/<slug:number>/parcel-<int:position>.pdf", packing.packing_slip, name="packing-slip"),
    path(
        "packing/<slug:number>/give-back/<int:line>/<int:batch>/<finish:finish>/",
        packing.packing_give_back,
        name="packing-give-back",
    ),
]
