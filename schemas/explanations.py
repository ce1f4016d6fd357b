"""The working behind a figure: its formula, its inputs and its source."""

from marshmallow import Schema, fields


class Input(Schema):
    """A figure that went into another one; several of one name are a series."""

    name = fields.String()
    value = fields.Float()


class Explanation(Schema):
    """How the figure at `pointer` (RFC 6901, into this answer) came about.

    `expression` is arithmetic over the names of `inputs`, as far as it can be.
    """

    pointer = fields.String()
    value = fields.Float()
    formula = fields.String()
    name = fields.String()
    expression = fields.String()
    inputs = fields.List(fields.Nested(Input))
    source = fields.String()
    standing = fields.String()
