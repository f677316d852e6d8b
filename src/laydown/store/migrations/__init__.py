"""Migrations, one file a revision in ``versions``; never changed once released, only added to."""
