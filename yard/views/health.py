"""A page for whoever watches over the server: does it answer, does the database?"""

from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse


def health(request: HttpRequest) -> JsonResponse:
    """200 with "well" when the database answers, 503 otherwise; says nothing else about the yard."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"state": "database does not answer"}, status=503)
    return JsonResponse({"state": "well"})
