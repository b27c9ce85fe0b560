from collections.abc import Callable
from os import PathLike
from typing import Any

__version__: str

def run(
    path: str | PathLike[str] | None,
    text: str,
    name: str,
    callback: Callable[[dict[str, Any]], object] | None,
) -> tuple[dict[str, bytes], tuple[str, str, str | None] | None]: ...
def toml_of_json(json: str) -> str: ...
