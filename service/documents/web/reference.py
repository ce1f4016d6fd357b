"""The documentation for programmers, made from the OpenAPI document: pages of one piece, without a script."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from service.documents.web.pages import asset, page, policy, style
from service.documents.wording.formats import Units

STYLE = style("reference.css")
POLICY = policy(STYLE)
METHODS = ("get", "post", "put", "patch", "delete")
ENGLISH = Units("eu", "en")
COMPONENT = "#/components/schemas/"

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A member of a shape."""

    name: str
    kind: str
    shapes: tuple[str, ...]
    required: bool
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """A method at an address: who may, what it takes, what it answers."""

    name: str
    method: str
    path: str
    summary: str
    roles: tuple[str, ...]
    parameters: tuple[Field, ...]
    takes: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...]
    refusals: tuple[str, ...]
    example: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The operations of a resource, and the shapes that they speak of, each once."""

    name: str
    title: str
    description: str
    operations: tuple[Operation, ...]
    shapes: Mapping[str, tuple[Field, ...]]


@cache
def examples() -> Mapping[str, Any]:
    """What was sent and answered once for each operation, by its name: recorded, and kept true, by a test."""
    found: Mapping[str, Any] = json.loads(asset("examples.json"))
    return found


def sections(document: Document) -> tuple[Section, ...]:
    """The whole document, by resource, in its order."""
    return tuple(_section(document, tag) for tag in document.get("tags", ()))


def index(document: Document, *, kinds: Iterable[Any]) -> str:
    """The first page: where to begin, every operation, every kind of problem."""
    found = sections(document)
    return _page("reference_index.html", info=document["info"], sections=found, kinds=tuple(kinds))


def section(document: Document, name: str) -> str | None:
    """The page of a resource; None where there is none of that name."""
    found = sections(document)
    chosen = next((each for each in found if each.name == name), None)
    return None if chosen is None else _page("reference_section.html", it=chosen, sections=found)


def guide() -> str:
    """The first quote, the first day on site, the first certificate."""
    return _page("reference_guide.html")


def client_options() -> str:
    """What a generator of typed clients has to be told beside the document."""
    return asset("client.yaml")


def problem(kind: Any) -> str:
    """The page of a kind of problem."""
    return _page("reference_problem.html", it=kind)


def sentences(words: Mapping[str, str]) -> str:
    """Every sentence that carries a code, by its code."""
    return _page("reference_sentences.html", words=words)


def _page(template: str, **facts: Any) -> str:
    return page(template, ENGLISH, style=STYLE, **facts)


def _section(document: Document, tag: Mapping[str, Any]) -> Section:
    operations = tuple(
        _operation(path, method, said, methods.get("parameters", ()))
        for path, methods in document["paths"].items()
        for method, said in methods.items()
        if method in METHODS and tag["name"] in said.get("tags", ())
    )
    return Section(
        name=tag["name"].replace("_", "-"),
        title=tag["name"].replace("_", " ").capitalize(),
        description=tag.get("description", ""),
        operations=operations,
        shapes=_spoken_of(document, operations),
    )


def _operation(
    path: str, method: str, said: Mapping[str, Any], of_path: Iterable[Mapping[str, Any]]
) -> Operation:
    answers = {code: each for code, each in said["responses"].items() if code.startswith(("2", "3"))}
    return Operation(
        name=said["operationId"],
        method=method.upper(),
        path=path,
        summary=said.get("summary", ""),
        roles=tuple(said.get("x-roles", ())),
        parameters=tuple(map(_parameter, (*of_path, *said.get("parameters", ())))),
        takes=_media(said.get("requestBody", {})),
        answers=tuple((code, each.get("description", ""), _media(each)) for code, each in answers.items()),
        refusals=tuple(sorted(code for code in said["responses"] if code.startswith(("4", "5")))),
        example=_example(said["operationId"], method.upper()),
    )


def _parameter(said: Mapping[str, Any]) -> Field:
    schema = said.get("schema", {})
    named = f"Names the {said['name'].removesuffix('_id').replace('_', ' ')}." if said["in"] == "path" else ""
    return Field(
        name=said["name"],
        kind=f"in the {said['in']}: {_kind(schema)}",
        shapes=(),
        required=bool(said.get("required")),
        meaning=said.get("description") or schema.get("description") or named,
    )


def _media(said: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Media types, each with the name of its shape; none where it has no shape of its own."""
    return tuple(
        (kind, " or ".join(_named(each.get("schema", {})))) for kind, each in said.get("content", {}).items()
    )


def _named(schema: Mapping[str, Any]) -> tuple[str, ...]:
    """The components that a schema names, itself or in its items."""
    if "$ref" in schema:
        return (schema["$ref"].removeprefix(COMPONENT),)
    inner = [*schema.get("oneOf", ()), *schema.get("anyOf", ()), *schema.get("allOf", ())]
    inner += [
        schema[name] for name in ("items", "additionalProperties") if isinstance(schema.get(name), dict)
    ]
    return tuple(dict.fromkeys(name for each in inner for name in _named(each)))


def _spoken_of(document: Document, operations: Iterable[Operation]) -> dict[str, tuple[Field, ...]]:
    """The shapes of these operations, and those that they are made of."""
    every = document["components"]["schemas"]
    wanted = [name for each in operations for name in _shapes_of(each)]
    found: dict[str, tuple[Field, ...]] = {}
    while wanted:
        name = wanted.pop(0)
        if name in found or name not in every:
            continue
        found[name] = tuple(_fields(every[name]))
        wanted += [shape for field in found[name] for shape in field.shapes]
    return found


def _shapes_of(operation: Operation) -> Iterator[str]:
    media = [*operation.takes, *(each for _, _, answered in operation.answers for each in answered)]
    for _, shapes in media:
        yield from filter(None, shapes.split(" or "))


def _fields(schema: Mapping[str, Any]) -> Iterator[Field]:
    required = schema.get("required", ())
    for name, said in schema.get("properties", {}).items():
        yield Field(
            name=name,
            kind=_kind(said),
            shapes=_named(said),
            required=name in required,
            meaning=said.get("description", ""),
        )


def _kind(said: Mapping[str, Any]) -> str:
    """A type in a few words: what it is, and between what it lies."""
    if "enum" in said:
        return ", ".join("null" if each is None else str(each) for each in said["enum"])
    if said.get("type") == "array":
        return f"list of {_kind(said.get('items', {})) or 'anything'}"
    if named := _named(said):
        return " or ".join(named)
    types = said.get("type", "")
    words = [types] if isinstance(types, str) else list(types)
    words[0:1] = [said.get("format", words[0])] if words else []
    return " or ".join(words) + _range(said)


def _range(said: Mapping[str, Any]) -> str:
    low, high = said.get("minimum"), said.get("maximum")
    if low is not None and high is not None:
        return f", {low:g} to {high:g}"
    if low is not None:
        return f", at least {low:g}"
    return f", at most {high:g}" if high is not None else ""


def _example(name: str, method: str) -> dict[str, Any] | None:
    """What was sent and answered once, as curl and as Python, with the answer."""
    sent = examples().get(name)
    if sent is None:
        return None
    body = json.dumps(sent["body"], ensure_ascii=False, indent=1) if "body" in sent else None
    answer = sent["answer"]
    text = json.dumps(answer["body"], ensure_ascii=False, indent=1) if "body" in answer else answer["kind"]
    return {
        "curl": _curl(method, sent, body),
        "python": _python(method, sent, body),
        "answer": {"status": answer["status"], "text": text},
    }


def _curl(method: str, sent: Mapping[str, Any], body: str | None) -> str:
    lines = [f'curl -s{"" if method == "GET" else f" -X {method}"} "$BASE{sent["path"]}"']
    lines += [f'-H "{name}: {value}"' for name, value in sent["headers"].items()]
    if body is not None:
        quoted = body.replace("'", "'\\''")
        lines.append(f"-d '{quoted}'")
    return " \\\n  ".join(lines)


def _python(method: str, sent: Mapping[str, Any], body: str | None) -> str:
    """The same with a library that most programs have; KEY stands where the shell has $KEY."""
    headers = ", ".join(
        f'"{name}": ' + (f'f"{value}"'.replace("$KEY", "{KEY}") if "$KEY" in value else json.dumps(value))
        for name, value in sent["headers"].items()
        if name != "Content-Type"
    )
    given = f'\n    json=json.loads(r"""{body}"""),' if body is not None else ""
    return (
        f'answer = requests.{method.lower()}(\n    f"{{BASE}}{sent["path"]}",\n'
        f"    headers={{{headers}}},{given}\n)"
    )
