"""Files by their content, to the last byte, on both databases."""

import hashlib
import io
import tempfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import func, select, update

from laydown.errors import InvalidInput, NotFound, StoreUnavailable
from laydown.store import files
from laydown.store.schema import file_chunks
from laydown.store.schema import files as file_table

ONE_STORE = settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])


@ONE_STORE
@given(content=st.binary(max_size=300), pack=st.booleans())
def test_any_content_comes_back_to_the_last_byte(store, content, pack):
    with store.write(who="ann") as tx:
        kept = files.put(tx, content, pack=pack)
        assert files.content(tx, kept.sha256) == content
    assert kept == files.StoredFile(sha256=hashlib.sha256(content).hexdigest(), size=len(content))


def test_a_file_of_several_rows_comes_back_in_pieces(store):
    content = bytes(range(256)) * (files.CHUNK // 256) * 2 + b"end"
    with store.write(who="ann") as tx:
        kept = files.put(tx, io.BytesIO(content))
        assert [len(piece) for piece in files.chunks(tx, kept.sha256)] == [files.CHUNK, files.CHUNK, 3]
        assert files.content(tx, kept.sha256) == content


def test_the_same_content_is_kept_once(store):
    with store.write(who="ann") as tx:
        assert files.put(tx, b"same") == files.put(tx, io.BytesIO(b"same"), pack=True)
        assert tx.run(select(func.count()).select_from(file_table)).scalar() == 1
        assert tx.run(select(func.count()).select_from(file_chunks)).scalar() == 1


def test_damaged_content_is_noticed(store):
    with store.write(who="ann") as tx:
        kept = files.put(tx, b"content")
        tx.run(update(file_chunks).values(data=b"c0ntent"))
        with pytest.raises(StoreUnavailable, match="damaged"):
            files.content(tx, kept.sha256)


def test_what_is_not_kept_is_not_found(store):
    with store.read() as tx:
        assert files.find(tx, "0" * 64) is None
        with pytest.raises(NotFound):
            files.content(tx, "0" * 64)


def test_a_file_that_is_too_large_is_refused(store, monkeypatch):
    monkeypatch.setattr(files, "LARGEST", 10)
    with pytest.raises(InvalidInput, match="larger"), store.write(who="ann") as tx:
        files.put(tx, b"x" * 11)


@pytest.mark.slow
def test_a_file_of_100_mb_goes_in_and_out_without_standing_in_memory(store):
    import tracemalloc

    digest = hashlib.sha256()
    with tempfile.TemporaryFile() as file:
        for number in range(100):
            piece = hashlib.sha256(bytes([number])).digest() * 31_250
            file.write(piece)
            digest.update(piece)
        tracemalloc.start()
        with store.write(who="ann") as tx:
            kept = files.put(tx, file)
        with store.read() as tx:
            size = sum(len(piece) for piece in files.chunks(tx, kept.sha256))
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()

    assert (kept.sha256, kept.size, size) == (digest.hexdigest(), 100_000_000, 100_000_000)
    assert peak < 20_000_000
