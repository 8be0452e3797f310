"""The shed's addresses."""

from django.urls import URLPattern, URLResolver, path, re_path

from frontend.bench_page import bench_app
from frontend.views import aside, benches, boards, doors, house, keeping, site, trees

urlpatterns: list[URLPattern | URLResolver] = [
    path("enter/<str:token>/", doors.enter, name="enter"),
    path("sign-in/", doors.sign_in, name="sign_in"),
    path("sign-out/", doors.sign_out, name="sign_out"),
    path("", boards.today_page, name="today"),
    path("ready/", boards.ready, name="ready"),
    path("ready/<slug:gate>/", boards.ready_gate, name="ready_gate"),
    path("held-back/", boards.held_back, name="held_back"),
    path("held-back/<slug:criterion>/", boards.held_by, name="held_by"),
    path("wires/", boards.wires, name="wires"),
    path("benches/", benches.bench_list, name="benches"),
    path("benches/add/", benches.add_bench, name="add_bench"),
    path("benches/add-trees/", benches.add_trees, name="add_trees"),
    path("benches/<uuid:id>/", benches.bench_page, name="bench"),
    path("trees/", trees.tree_list, name="trees"),
    path("trees/<uuid:id>/", trees.tree_page, name="tree"),
    path("trees/<uuid:id>/<slug:what>/", trees.tree_record, name="tree_record"),
    path("set-aside/", aside.set_aside, name="set_aside"),
    path("set-aside/same-id/", aside.same_id, name="same_id"),
    re_path(
        r"^set-aside/same-id/(?P<id>\d{1,15})/(?P<choice>first|second)/$",
        aside.settle_same_id,
        name="settle_same_id",
    ),
    path("set-aside/doubles/", aside.doubles, name="doubles"),
    path("set-aside/clocks/", aside.clocks, name="clocks"),
    path("set-aside/<uuid:id>/correct/", aside.correct, name="correct"),
    path("set-aside/<uuid:id>/keep/", aside.keep, name="keep"),
    path("set-aside/<uuid:id>/discard/", aside.discard, name="discard"),
    path("phones/", house.phone_list, name="phones"),
    path("phones/pair/", house.pair_phone, name="pair_phone"),
    re_path(r"^phones/codes/(?P<id>\d{1,15})/cancel/$", house.cancel_code, name="cancel_code"),
    path("phones/<uuid:id>/rename/", house.rename_phone, name="rename_phone"),
    path("phones/<uuid:id>/revoke/", house.revoke_phone, name="revoke_phone"),
    path("phones/hand-over/", keeping.hand_over, name="hand_over"),
    path("phones/trust/", keeping.trust, name="trust"),
    path("phones/trust/misho.cer", keeping.certificate, name="certificate"),
    path("backups/", keeping.backups, name="backups"),
    path("bench/", bench_app, name="bench_app"),
    path("people/", house.people_list, name="people"),
    path("people/password/", doors.password, name="password"),
    path("site/", site.site_page, name="site"),
    path("site/<uuid:id>/", site.site_page, name="site_of"),
    path("people/invite/", house.invite, name="invite"),
    path("people/<int:id>/role/", house.change_role, name="change_role"),
    re_path(r"^people/(?P<id>\d{1,9})/(?P<way>on|off)/$", house.switch, name="switch"),
]
