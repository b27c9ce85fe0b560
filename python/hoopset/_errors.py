"""Exceptions of the module."""

from __future__ import annotations

from typing import Any, Optional


class HoopsetError(Exception):
    """Any error of this module. ``hint`` says what would help, where that is known."""

    hint: Optional[str]

    def __init__(self, message: str, hint: Optional[str] = None) -> None:
        super().__init__(message if hint is None else f"{message}\nhint: {hint}")
        self.message = message
        self.hint = hint


class CaseError(HoopsetError, ValueError):
    """A mistake in a case, with its place: ``file``, ``line``, ``column`` (both from 1), ``key``."""

    def __init__(
        self,
        message: str,
        file: str,
        line: Optional[int],
        column: Optional[int],
        key: Optional[str],
        problem: str,
        hint: str,
    ) -> None:
        super().__init__(message, hint)
        self.file = file
        self.line = line
        self.column = column
        self.key = key
        self.problem = problem


class RunError(HoopsetError, RuntimeError):
    """A case that is in order and cannot be run."""


class StageError(RunError):
    """A stage that could not be finished. ``result`` has everything up to there."""

    def __init__(self, stage: str, message: str, hint: Optional[str], result: Any) -> None:
        super().__init__(f"stage {stage}: {message}", hint)
        self.stage = stage
        self.result = result
