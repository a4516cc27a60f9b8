"""Requests made from the interface's own description, and ones made to break it, find no fault of ours."""

from functools import cache
from tempfile import mkdtemp

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import content_type_conformance, status_code_conformance

from server.app import create_app

STEADY = {
    "deadline": None,
    "derandomize": True,
    "database": None,
    "phases": [Phase.explicit, Phase.generate],
    "suppress_health_check": list(HealthCheck),
}


@cache
def described():
    """The interface as it describes itself; read-only, so that its folder stays empty."""
    app = create_app(mkdtemp(), read_only=True, hosts=("testserver",))
    return schemathesis.openapi.from_asgi("/openapi.json", app)


def operations():
    return [operation.ok() for operation in described().get_all_operations()]


def test_the_description_has_what_the_design_promises():
    paths = {operation.path for operation in operations()}
    assert {"/api/box-response", "/api/port-length", "/api/cabinet"} <= paths


@pytest.mark.parametrize(
    "mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["as described", "broken"]
)
@pytest.mark.parametrize("operation", operations(), ids=lambda operation: operation.path)
def test_no_request_finds_a_fault_of_ours(operation, mode):
    answers = []

    @settings(max_examples=60, **STEADY)
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case):
        answer = case.call()
        answers.append(answer.status_code)
        case.validate_response(
            answer, checks=[not_a_server_error, content_type_conformance, status_code_conformance]
        )
        if answer.status_code == 422:
            assert answer.json()["errors"]

    ask()
    assert len(answers) >= 40
