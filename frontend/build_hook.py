"""Builds the front end inside ``pip install .`` and ``pip install -e .``."""

import importlib.util
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


def _node(root: Path) -> ModuleType:
    """``frontend/node.py`` by its path: the project itself is not importable while it is being built."""
    spec = importlib.util.spec_from_file_location("misho_node", root / "frontend" / "node.py")
    if spec is None or spec.loader is None:
        raise RuntimeError(f"{root} is no whole copy of Misho: frontend/node.py is missing")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


class FrontendHook(BuildHookInterface[Any]):
    """Fails the whole installation when the front end cannot be built: half of Misho helps nobody."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build for wheels, editable ones too; a source archive carries the sources only."""
        if self.target_name != "wheel":
            return
        dist = _node(Path(self.root)).build(Path(self.root) / "frontend")
        self.app.display_info(f"The front end is built: {dist}")
