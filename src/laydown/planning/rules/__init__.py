"""Trade rules: read as data, checked against the facts that laydown knows, applied to candidate stacks."""
