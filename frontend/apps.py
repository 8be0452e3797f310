from django.apps import AppConfig
from django.core.checks import register


class FrontendConfig(AppConfig):
    name = "frontend"

    def ready(self) -> None:
        from frontend.checks import bench_app_is_built, catalogues_are_compiled

        register(bench_app_is_built)
        register(catalogues_are_compiled)
