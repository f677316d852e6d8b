"""Requests made up from the published schema: no failure of ours, and no answer that the schema does not name."""

from __future__ import annotations

import shutil

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from web_clients import client_of

from laydown.web.app import create_app
from laydown.web.published import published
from laydown.web.settings import Settings

pytestmark = pytest.mark.slow

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    response_headers_conformance,
]


@pytest.fixture(scope="module")
def fuzzed(demo_database, tmp_path_factory):
    folder = tmp_path_factory.mktemp("fuzzed")
    shutil.copy(demo_database, folder / "laydown.sqlite")
    with client_of(Settings(data=folder, worker=False)) as client:
        yield client


def _operations(folder):
    app = create_app(Settings(data=folder, worker=False))
    schema = published(app)
    app.state.laydown.store.close()
    return [(method, path) for path, methods in schema["paths"].items() for method in methods]


@pytest.fixture(scope="module")
def schema(fuzzed):
    return schemathesis.openapi.from_dict(published(fuzzed.app))


def _as_file(value):
    """Part of a form as the client takes it; the maker of requests also makes numbers."""
    name, content = value[:2] if isinstance(value, tuple) else ("made-up", value)
    return name, content if isinstance(content, bytes) else str(content).encode()


def pytest_generate_tests(metafunc):
    if "operation" in metafunc.fixturenames:
        import tempfile
        from pathlib import Path

        with tempfile.TemporaryDirectory() as folder:
            known = _operations(Path(folder))
        metafunc.parametrize("operation", known, ids=[f"{method} {path}" for method, path in known])


def test_every_answer_is_one_that_is_documented(fuzzed, schema, operation):
    method, path = operation

    @given(case=schema[path][method].as_strategy())
    @settings(max_examples=25, phases=[Phase.generate], suppress_health_check=list(HealthCheck), deadline=None)
    def ask(case):
        sent = case.as_transport_kwargs(base_url="http://127.0.0.1:8300")
        sent.pop("cookies", None)
        if "files" in sent:
            sent["files"] = [(name, _as_file(value)) for name, value in sent["files"]]
        request = fuzzed.build_request(**{name: value for name, value in sent.items() if value is not None})
        request.read()
        response = fuzzed.send(request)
        case.validate_response(response, checks=CHECKS)

    ask()
