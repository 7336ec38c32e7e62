"""The scenario's field `uncertainty`, whose tables are made when a file first states one.

They are of a score of kinds, and making them takes as long as making all others; hardly any scenario states one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


class _MadeWhenStated:
    """Reads, checks and describes the field as `Uncertainty | None` does."""

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        # With a name for references, as a table has it, the JSON schema gives the field no title of its own.
        read = core_schema.no_info_plain_validator_function(_read, ref=__name__)
        return core_schema.nullable_schema(read)

    def __get_pydantic_json_schema__(self, _: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        from pydantic import TypeAdapter

        from sim.scenario.uncertainty import Uncertainty

        return handler(TypeAdapter(Uncertainty | None).core_schema)


def _read(table: object) -> object:
    from sim.scenario.uncertainty import Uncertainty

    return Uncertainty.model_validate(table)  # what is wrong in it is told with its place in the scenario


if TYPE_CHECKING:
    from sim.scenario.uncertainty import Uncertainty

    StatedUncertainty = Uncertainty | None
else:
    StatedUncertainty = Annotated[Any, _MadeWhenStated()]
