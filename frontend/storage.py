"""Static files: hashed by name, compressed ahead, and what Vite hashed already left as it is."""

from collections.abc import Iterator
from typing import Any

from whitenoise.storage import CompressedManifestStaticFilesStorage

#: Vite writes its files here, each with a hash of its content in its name.
BUILT = "assets/"


class ShedStorage(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """As WhiteNoise's storage, except that Vite's files keep their names.

    The phone's worker lists them by those names; a second hash would part the two. Before the first
    ``collectstatic`` there is no manifest, and plain names are given out, so that pages can be tested.
    """

    def stored_name(self, name: str) -> str:
        if name.startswith(BUILT) or not self.hashed_files:
            return name
        return str(super().stored_name(name))

    def post_process(
        self, paths: dict[str, Any], dry_run: bool = False, **options: Any
    ) -> Iterator[tuple[str, str | None, Any]]:
        ours = {name: where for name, where in paths.items() if not name.startswith(BUILT)}
        yield from super().post_process(ours, dry_run=dry_run, **options)
        if not dry_run:
            for name, compressed in self.compress_files(set(paths) - set(ours)):
                yield name, compressed, True
