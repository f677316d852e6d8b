"""Write the database of the present revision, with something in every table, to ``states/<revision>.sql``.

Run once when a revision is added (``python tests/store/new_state.py``); a released state is never written anew.
"""

import sqlite3
import sys
import tempfile
from importlib.resources import files
from pathlib import Path

from everything import fill

from laydown.store.backup import backup
from laydown.store.database import open_store
from laydown.store.schema import REVISION

if __name__ == "__main__":
    target = Path(__file__).parent / "states" / f"{REVISION}.sql"
    if target.exists():
        sys.exit(f"{target} is there already")
    with tempfile.TemporaryDirectory() as folder:
        with open_store(f"{folder}/laydown.sqlite") as store:
            fill(store, Path(str(files("laydown.data") / "shop")))
            backup(store, Path(folder) / "copy.sqlite")
        connection = sqlite3.connect(f"{folder}/copy.sqlite")
        target.parent.mkdir(exist_ok=True)
        target.write_text("\n".join(connection.iterdump()) + "\n", encoding="utf-8")
        connection.close()
