"""Days and numbers, a package for each language, as Django's FORMAT_MODULE_PATH wants them."""
