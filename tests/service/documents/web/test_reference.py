"""The documentation's pages, made from an OpenAPI document."""

from service.documents.web import reference

DOCUMENT = {
    "info": {"version": "1", "description": "A trial."},
    "tags": [{"name": "price_lists", "description": "Prices."}],
    "paths": {
        "/v1/price-lists/{code}": {
            "parameters": [{"in": "path", "name": "code", "required": True, "schema": {"type": "string"}}],
            "put": {
                "operationId": "price_lists_put",
                "x-roles": ["office"],
                "summary": "Add a list.",
                "tags": ["price_lists"],
                "requestBody": {
                    "content": {"application/json": {"schema": {"$ref": "#/components/schemas/List"}}}
                },
                "responses": {"200": {"description": "OK"}, "422": {}, "default": {}},
            },
        }
    },
    "components": {
        "schemas": {
            "List": {
                "required": ["rows"],
                "properties": {
                    "rows": {"type": "array", "items": {"$ref": "#/components/schemas/Row"}},
                    "kind": {"enum": ["net", None]},
                },
            },
            "Row": {
                "properties": {
                    "mass_kg": {"type": "number", "minimum": 0, "maximum": 9, "description": "its mass (kg)"},
                    "day": {"type": ["string", "null"], "format": "date"},
                    "parent": {"$ref": "#/components/schemas/Row"},
                }
            },
            "Elsewhere": {"properties": {}},
        }
    },
}


def test_a_section_has_its_operations_and_the_shapes_that_they_are_made_of_once() -> None:
    (found,) = reference.sections(DOCUMENT)
    (put,) = found.operations
    assert (put.method, put.roles, put.refusals) == ("PUT", ("office",), ("422",))
    assert put.takes == (("application/json", "List"),)
    assert [each.name for each in put.parameters] == ["code"]
    assert list(found.shapes) == ["List", "Row"]


def test_a_field_tells_its_kind_and_its_range_in_words() -> None:
    (found,) = reference.sections(DOCUMENT)
    told = {field.name: field.kind for fields in found.shapes.values() for field in fields}
    assert told == {
        "rows": "list of Row",
        "kind": "net, null",
        "mass_kg": "number, 0 to 9",
        "day": "date or null",
        "parent": "Row",
    }
    assert found.shapes["List"][0].required


def test_a_resource_that_there_is_not_has_no_page() -> None:
    assert reference.section(DOCUMENT, "price-lists")
    assert reference.section(DOCUMENT, "price_list") is None


def test_what_is_shown_is_escaped() -> None:
    assert "&lt;b&gt;" in reference.sentences({"a.b": "<b>"})
