"""Builds the front end and compiles the catalogues of texts, inside ``pip install .`` and ``-e .``."""

import importlib.util
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


def _own(root: Path, name: str) -> ModuleType:
    """A module of ``frontend`` by its path: the project itself is not importable while it is being built."""
    spec = importlib.util.spec_from_file_location(f"misho_{name}", root / "frontend" / f"{name}.py")
    if spec is None or spec.loader is None:
        raise RuntimeError(f"{root} is no whole copy of Misho: frontend/{name}.py is missing")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


class FrontendHook(BuildHookInterface[Any]):
    """Fails the whole installation when the front end cannot be built: half of Misho helps nobody."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build for wheels, editable ones too; a source archive carries the sources only."""
        if self.target_name != "wheel":
            return
        root = Path(self.root)
        _own(root, "catalogues").compile_all(root)
        dist = _own(root, "node").build(root / "frontend")
        self.app.display_info(f"The front end is built: {dist}")
