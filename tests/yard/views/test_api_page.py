"""The description of readings by post says what the program does: its limits, its names, its answers."""

import json
import re

import pytest
from django.test import Client

from tests.make import make_sensor
from yard.forms import posted_readings
from yard.services.reading_tokens import reading_token_make


def document():
    answer = Client().get("/api/openapi.json")
    assert answer.status_code == 200
    return answer.json()


def resolve(whole, schema):
    found = whole
    for part in schema["$ref"].removeprefix("#/").split("/"):
        found = found[part]
    return found


def test_the_document_is_openapi_3_1_and_its_references_lead_somewhere(yard):
    told = document()
    assert told["openapi"] == "3.1.0"
    assert {"title", "version"} <= told["info"].keys()
    assert told["servers"] == [{"url": "http://testserver"}]
    references = re.findall(r'"\$ref": "([^"]+)"', json.dumps(told))
    assert references
    for reference in references:
        assert resolve(told, {"$ref": reference})["type" if "Message" not in reference else "anyOf"]
    operation = told["paths"]["/api/readings/"]["post"]
    assert list(operation["security"][0]) == list(told["components"]["securitySchemes"])


def test_the_documents_names_and_limits_are_the_programs(yard):
    told = document()["components"]["schemas"]
    fields = told["Reading"]["properties"]
    assert set(fields) == posted_readings.NAMES
    assert (fields["temp_f"]["minimum"], fields["core_f"]["maximum"]) == (-76, 266)
    assert (posted_readings.COLDEST_F, posted_readings.HOTTEST_F) == (-76, 266)
    assert told["Message"]["anyOf"][1]["maxItems"] == posted_readings.MOST_READINGS
    assert posted_readings.MOST_BYTES == 10 * 1024**2


@pytest.mark.parametrize(("body", "status"), [("[]", 200), ("{", 400), ('[{"time": 5}]', 422)])
def test_each_answer_has_the_form_that_the_document_gives_it(yard, body, status):
    token = reading_token_make(name="Post", sensors=[make_sensor()], by=None)[1]
    answer = Client().post(
        "/api/readings/", body, content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
    )
    assert answer.status_code == status
    told = document()
    response = told["paths"]["/api/readings/"]["post"]["responses"][str(status)]
    schema = resolve(told, response["content"]["application/json"]["schema"])
    assert set(answer.json()) == set(schema["required"])
    kinds = {"integer": int, "array": list, "string": str}
    for name, value in answer.json().items():
        assert isinstance(value, kinds[schema["properties"][name]["type"]]), name


def test_the_page_shows_a_line_that_can_be_copied_and_leads_to_the_sender(viewer_client):
    page = viewer_client.get("/api/").content.decode()
    assert "curl http://testserver/api/readings/" in page
    assert "send_readings.py" in page
    assert "/api/openapi.json" in page
    assert "wet_bulb_c" in page


def test_the_example_message_of_the_page_is_one_that_is_taken(viewer_client):
    page = viewer_client.get("/api/")
    sensor = make_sensor("Later")
    for example in (page.context["one"], page.context["many"].replace("K7MPQ2", sensor.code)):
        token = reading_token_make(name="Post", sensors=[sensor], by=None)[1]
        answer = Client().post(
            "/api/readings/", example, content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
        ).json()
        assert answer["refused"] == 0
        assert answer["taken"] >= 1
