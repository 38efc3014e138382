import pytest
from layer_setup import plain_setup

from shadewright.printing import PrintSetup


@pytest.fixture
def setup() -> PrintSetup:
    return plain_setup()
