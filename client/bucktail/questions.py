"""The questions a client asks, each a method; how they travel is for the client over HTTP or in-process to say."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from types import TracebackType
    from typing import Self

Answer = dict[str, Any]


class Questions(ABC):
    """Every question of the fastener desk, asked by keyword arguments; usable in a `with` block."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @abstractmethod
    def close(self) -> None:
        """Let go of what is held open."""

    @abstractmethod
    def _ask(self, name: str, question: Mapping[str, object]) -> Answer: ...

    def pick(self, **question: object) -> Answer:
        """Return the fastener for a question; its fields are the keyword arguments."""
        return self._ask("pick", question)

    def rework(self, **question: object) -> Answer:
        """Return every way to replace an installed rivet, judged, with the plans to do it."""
        return self._ask("rework", question)

    def inspect(self, **question: object) -> Answer:
        """Return whether a driven rivet measures inside its limits, and what caused it where it does not."""
        return self._ask("inspect", question)

    def joint(self, **question: object) -> Answer:
        """Return what a riveted joint carries, what governs it, and how many pieces a splice takes."""
        return self._ask("joint", question)

    def couple(self, **question: object) -> Answer:
        """Return whether metals may touch, which one is eaten, and how to part them."""
        return self._ask("couple", question)

    def balance(self, **question: object) -> Answer:
        """Return the change of mass and of static moment about a hinge line."""
        return self._ask("balance", question)

    def order(self, **question: object) -> Answer:
        """Return many lines gathered into an order, rejected lines and all."""
        return self._ask("order", question)
