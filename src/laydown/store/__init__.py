"""The shop's records in a database: SQLite in the user's data folder, or PostgreSQL.

`laydown.store.database.open_store` is the door. Each kind of record has a module whose functions take the
transaction first: ``shelves``, ``shop_exchange``, ``orders``, ``files``, ``plans``, ``press_log``, ``users``,
``sessions``, ``api_tokens``, ``jobs``, ``change_log``; ``backup`` and ``restore`` take a store or its address.
"""
