"""Only the list of packages: the top-level notebooks folder is installed as terralab._notebooks."""

from setuptools import find_packages, setup

setup(
    packages=[*find_packages(include=["terralab", "terralab.*"]), "terralab._notebooks"],
    package_dir={"terralab._notebooks": "notebooks"},
)
