"""The alarms of all kilns: open, seen and past; marking one as seen; the feed and its private address."""

from django.contrib import messages
from django.contrib.syndication.views import Feed
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.feedgenerator import Atom1Feed
from django.utils.http import url_has_allowed_host_and_scheme

from kilns.models import Alarm
from kilns.services.alarms import KIND_WORDS, alarm_see, alarms_open
from yard.paging import page_of
from yard.services.private_feeds import private_feed_end, private_feed_of, private_feed_opens, private_feed_renew
from yard.services.yard_settings import the_yard

FEED = "alarms"
IN_FEED = 50


def alarms(request: HttpRequest) -> HttpResponse:
    """Open ones first, then those past."""
    return _page(request)


def alarm_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody has seen it: it is quiet until it changes."""
    alarm = get_object_or_404(Alarm, pk=pk)
    alarm_see(alarm=alarm, by=request.user)
    messages.success(request, "Noted. It stays in the list until its cause is gone.")
    back = request.POST.get("next", "")
    fine = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    return redirect(back if back and fine else "kilns:alarms")


def alarm_feed_address(request: HttpRequest) -> HttpResponse:
    """A new private address for the feed, shown on this answer alone; or none any more."""
    if request.POST.get("do") == "end":
        private_feed_end(name=FEED, by=request.user)
        messages.success(request, "The feed has no address any more.")
        return redirect("kilns:alarms")
    secret = private_feed_renew(name=FEED, by=request.user)
    return _page(request, link=request.build_absolute_uri(reverse("kilns:alarm-feed", args=[secret])))


def alarm_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The feed, for whoever has its address."""
    if not private_feed_opens(name=FEED, secret=secret):
        raise Http404("no such feed")
    return AlarmFeed()(request)


class AlarmFeed(Feed):
    """The newest alarms as Atom; one that is over is the same entry with a new date, a graver one another entry."""

    feed_type = Atom1Feed
    subtitle = "What goes wrong or is due in the kilns, each told once."

    def title(self) -> str:
        return f"{the_yard().name}: kiln alarms"

    def link(self) -> str:
        return reverse("kilns:alarms")

    def items(self):
        return Alarm.objects.select_related("kiln").order_by("-opened_at", "-id")[:IN_FEED]

    def item_title(self, item: Alarm) -> str:
        return f"{item.kiln.name}: {KIND_WORDS.get(item.kind, item.get_level_display())}"

    def item_description(self, item: Alarm) -> str:
        return f"{'Over: ' if item.closed_at else ''}{item.words} {item.what_to_do}"

    def item_link(self, item: Alarm) -> str:
        return f"{reverse('kilns:alarms')}#alarm-{item.pk}"

    def item_guid(self, item: Alarm) -> str:
        return f"urn:slabwright:alarm:{item.kiln.code}:{item.pk}:{item.level}"

    def item_pubdate(self, item: Alarm):
        return item.opened_at

    def item_updateddate(self, item: Alarm):
        return item.closed_at or item.opened_at


def _page(request: HttpRequest, link: str = "") -> HttpResponse:
    past = Alarm.objects.filter(closed_at__isnull=False).select_related("kiln", "seen_by").order_by("-closed_at", "-id")
    context = {
        "alarms": alarms_open(), "page": page_of(past, request), "feed": private_feed_of(FEED), "link": link,
    }  # fmt: skip
    return render(request, "kilns/alarms.html", context)
