"""Files are written whole: all of them or none."""

from pathlib import Path

import pytest

from laydown.documents.template import copy_template, demo_art, demo_order_texts, template_texts
from laydown.documents.whole_files import write_whole_files
from laydown.errors import InvalidInput


def everything(folder):
    return {str(path.relative_to(folder)): path.read_text() for path in folder.rglob("*") if path.is_file()}


def test_files_and_folders_are_made(tmp_path):
    write_whole_files(tmp_path / "a" / "b", {"x.toml": "1\n", "sub/y.toml": "2\n"})

    assert everything(tmp_path) == {"a/b/x.toml": "1\n", "a/b/sub/y.toml": "2\n"}


def test_other_files_stay_and_named_ones_are_replaced(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "x.toml").write_text("old")

    write_whole_files(tmp_path, {"x.toml": "new"})

    assert everything(tmp_path) == {"mine.txt": "mine", "x.toml": "new"}


@pytest.mark.parametrize("broken", ["b.toml", "c.toml"])
def test_when_one_file_cannot_be_moved_in_nothing_changes(tmp_path, monkeypatch, broken):
    (tmp_path / "a.toml").write_text("old a")
    (tmp_path / "c.toml").write_text("old c")
    move = Path.replace

    def stubborn(self, target):
        if Path(target).name == broken and Path(target).parent == tmp_path and "new" in self.parts:
            raise OSError(28, "No space left on device")
        return move(self, target)

    monkeypatch.setattr(Path, "replace", stubborn)
    with pytest.raises(InvalidInput, match=r"nothing was written \(No space left on device\)"):
        write_whole_files(tmp_path, {"a.toml": "A", "b.toml": "B", "c.toml": "C"})

    assert everything(tmp_path) == {"a.toml": "old a", "c.toml": "old c"}


def test_a_folder_that_was_made_for_nothing_goes_again(tmp_path, monkeypatch):
    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(InvalidInput, match="nothing was written"):
        write_whole_files(tmp_path / "new", {"a.toml": "A"})

    assert not (tmp_path / "new").exists()


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(InvalidInput, match="this is a file, but a folder is needed"):
        write_whole_files(tmp_path / "file", {"a.toml": "A"})


def test_the_template_is_copied_with_its_orders(tmp_path):
    copy_template(tmp_path / "shop")

    there = everything(tmp_path / "shop")
    orders = demo_order_texts() | {name: drawing.decode() for name, drawing in demo_art().items()}
    assert there == template_texts() | {f"orders/{name}": text for name, text in orders.items()}


def test_the_template_is_copied_into_an_empty_folder_without_orders(tmp_path):
    copy_template(tmp_path, with_orders=False)

    assert everything(tmp_path) == template_texts()


def test_a_folder_that_is_not_empty_is_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(InvalidInput, match="the folder is not empty; name a new one or an empty one"):
        copy_template(tmp_path)

    assert everything(tmp_path) == {"mine.txt": "mine"}
