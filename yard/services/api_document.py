"""The description of `POST /api/readings/` for programs: an OpenAPI 3.1 document."""

from typing import Any

TEMPERATURES = {
    "temp": "Temperature of the air: the dry bulb.",
    "wet_bulb": "Temperature of a wetted bulb in moving air; tells the humidity where there is no rh_pct.",
    "core": "Temperature in the wood, by a probe.",
}
LIMITS = {"f": ("°F", -76, 266), "c": ("°C", -60, 130)}


def api_document(*, server: str) -> dict[str, Any]:
    """The document, for the address at which this yard is reached."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Readings by post",
            "version": "1",
            "description": "How sensors and hubs send their readings to this yard. Repeated and out-of-order readings "
            "do no harm: a reading is known by its sensor and its time, and what was kept first stays.",
        },
        "servers": [{"url": server}],
        "paths": {"/api/readings/": {"post": _operation()}},
        "components": {
            "securitySchemes": {
                "token": {"type": "http", "scheme": "bearer", "description": "Made and revoked on a sensor's page."}
            },
            "schemas": {"Reading": _reading(), "Message": _message(), "Answer": _answer(), "Error": _error()},
        },
    }


def _operation() -> dict[str, Any]:
    return {
        "operationId": "postReadings",
        "summary": "Send one reading or many",
        "security": [{"token": []}],
        "requestBody": {"required": True, "content": _json("Message")},
        "responses": {
            "200": _response("What became of the readings; those refused are told one by one.", "Answer"),
            "400": _response("The message is not of this form; nothing of it was kept.", "Error"),
            "401": _response("The token is missing, wrong or revoked.", "Error"),
            "413": _response("More than 10 MB at once; nothing of it was kept.", "Error"),
            "422": _response("Every reading was refused, and why.", "Answer"),
            "429": _response("Too many wrong tokens from this address; Retry-After says how long to wait.", "Error"),
        },
    }


def _message() -> dict[str, Any]:
    one = {"$ref": "#/components/schemas/Reading"}
    many = {"type": "array", "items": one, "maxItems": 100_000}
    wrapped = {"type": "object", "properties": {"readings": many}, "required": ["readings"]}
    return {"anyOf": [wrapped, many, one]}


def _reading() -> dict[str, Any]:
    properties: dict[str, Any] = {
        "sensor": {"type": "string", "description": "The sensor's code; left out when the token is for one sensor."},
        "time": {
            "description": "ISO 8601 with its offset from UTC, or seconds (or thousandths of one) since 1970.",
            "anyOf": [{"type": "string", "format": "date-time"}, {"type": "number"}],
        },
        "rh_pct": {"type": ["number", "null"], "minimum": 0, "maximum": 105, "description": "Relative humidity in %."},
    }
    for name, words in TEMPERATURES.items():
        for unit, (sign, low, high) in LIMITS.items():
            properties[f"{name}_{unit}"] = {
                "type": ["number", "null"], "minimum": low, "maximum": high, "description": f"{words} In {sign}.",
            }  # fmt: skip
    return {
        "type": "object",
        "description": "What one sensor measured at one time: at least one figure, each temperature in one unit.",
        "properties": properties,
        "required": ["time"],
        "additionalProperties": False,
    }


def _answer() -> dict[str, Any]:
    count = {"type": "integer", "minimum": 0}
    refusal = {
        "type": "object",
        "properties": {
            "reading": {"type": "integer", "minimum": 1, "description": "Its place in the message, 1 for the first."},
            "sensor": {"type": "string"},
            "time": {"type": "string"},
            "why": {"type": "string"},
        },
        "required": ["reading", "sensor", "time", "why"],
    }
    properties = {
        "taken": count | {"description": "New readings that are kept."},
        "known": count | {"description": "Readings that were there already."},
        "refused": count | {"description": "Readings that were not taken. Sending them again is of no use."},
        "refusals": {"type": "array", "items": refusal, "description": "The first hundred of them, with why."},
        "notes": {"type": "array", "items": {"type": "string"}, "description": "What looks wrong, but was taken."},
    }
    return {"type": "object", "properties": properties, "required": list(properties)}


def _error() -> dict[str, Any]:
    return {"type": "object", "properties": {"error": {"type": "string"}}, "required": ["error"]}


def _response(words: str, schema: str) -> dict[str, Any]:
    return {"description": words, "content": _json(schema)}


def _json(schema: str) -> dict[str, Any]:
    return {"application/json": {"schema": {"$ref": f"#/components/schemas/{schema}"}}}
