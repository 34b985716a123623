"""All URLs: the yard's; an app of its own adds itself here."""

from django.urls import include, path

urlpatterns = [
    path("", include("yard.urls")),
    path("kilns/", include("kilns.urls")),
    path("sales/", include("sales.urls")),
    path("", include("sales.urls_outside")),
]

handler400 = "yard.views.errors.bad_request"
handler403 = "yard.views.errors.not_allowed"
handler404 = "yard.views.errors.not_found"
handler500 = "yard.views.errors.broken"
