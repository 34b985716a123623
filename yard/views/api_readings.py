"""`POST /api/readings/`: where sensors and hubs send what they measured, with a token of their own."""

from typing import Any

from django.core.cache import cache
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from yard.config.client_address import client_address
from yard.forms.posted_readings import MOST_BYTES, NotUnderstood, read_message, read_readings
from yard.services.posted_readings import PostAnswer, posted_readings_keep
from yard.services.reading_tokens import TokenRefused, reading_token_find

WRONG_TOKENS, WRONG_FOR_S = 20, 600  # so many wrong ones from one address in ten minutes (our own limit)
REFUSED_LISTED = 100
POURED_AWAY = 200 * 1024 * 1024  # of a message that is too large; more is cut off (our own limit)
TOO_MUCH = f"The message is larger than {MOST_BYTES // 1024**2} MB: send it in parts. Nothing of it was kept."


@csrf_exempt  # no browser sends this: a log-in is refused here, and the token is in a header that no form can set
def api_readings(request: HttpRequest) -> JsonResponse:
    """Keep what can be kept, all in one go, and answer what became of each reading."""
    scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
    try:
        token = reading_token_find(secret.strip() if scheme.lower() == "bearer" else "")
    except TokenRefused as error:
        return _wrong_token(request, str(error))
    try:
        if int(request.META.get("CONTENT_LENGTH") or 0) > MOST_BYTES:
            _pour_away(request)
            return _error(TOO_MUCH, 413)
        good, refused = read_readings(read_message(request.body), timezone.now())
    except RequestDataTooBig:
        return _error(TOO_MUCH, 413)
    except NotUnderstood as error:
        return _error(f"{error} Nothing of it was kept.", 400)
    answer = posted_readings_keep(token=token, posted=good, refused=refused)
    nothing = answer.refused and not answer.taken and not answer.known
    return JsonResponse(_as_json(answer), status=422 if nothing else 200)


def _as_json(answer: PostAnswer) -> dict[str, Any]:
    listed = answer.refused[:REFUSED_LISTED]
    return {
        "taken": answer.taken,
        "known": answer.known,
        "refused": len(answer.refused),
        "refusals": [
            {"reading": one.reading, "sensor": one.sensor, "time": one.time, "why": one.why} for one in listed
        ],
        "notes": answer.notes,
    }


def _pour_away(request: HttpRequest) -> None:
    """Read what is too much and keep none of it: a sender that is cut off while it sends never sees the answer."""
    left = POURED_AWAY
    while left > 0 and (some := request.read(64 * 1024)):
        left -= len(some)


def _wrong_token(request: HttpRequest, words: str) -> JsonResponse:
    """Told why; after many from one address only that it is too many."""
    key = f"wrong-reading-tokens:{client_address(request)}"
    cache.add(key, 0, WRONG_FOR_S)
    try:
        tries = cache.incr(key)
    except ValueError:  # run out between the two lines
        tries = 1
    if tries > WRONG_TOKENS:
        response = _error("Too many wrong tokens from this address: wait ten minutes.", 429)
        response["Retry-After"] = str(WRONG_FOR_S)
        return response
    response = _error(words, 401)
    response["WWW-Authenticate"] = 'Bearer realm="readings"'
    return response


def _error(words: str, status: int) -> JsonResponse:
    return JsonResponse({"error": words}, status=status)
