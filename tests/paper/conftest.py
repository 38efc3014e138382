"""One sample study and its pictures, drawn once and small."""

import pytest
from sample_study import sample_study

from shadewright.paper.drawings import Drawings, draw_study
from shadewright.study.result import Study


@pytest.fixture(scope="session")
def study() -> Study:
    return sample_study()


@pytest.fixture(scope="session")
def drawings(study: Study) -> Drawings:
    return draw_study(study, width=240, height=180)
