"""The shop's app in a browser, and its JSON interface; both call `laydown.services` and hold no logic of their own."""
