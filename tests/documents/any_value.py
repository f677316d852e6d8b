"""Any value that a TOML file can hold, and some that nearly fit."""

from hypothesis import strategies as st

WORDS = ["#8c1d2f", "jersey", "100% cotton", "2026-12-10", "white", "Quayside tee black", "a.csv", "../x", "White"]
KEYS = ["value", "low", "high", "pm", "grade", "celsius", "hours", "white", "fact", "is", "x"]

VALUES = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(),
        st.integers(min_value=10**300, max_value=10**400),
        st.floats(),
        st.text(max_size=10),
        st.sampled_from(WORDS),
        st.dates(),
        st.datetimes(),
    ),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=3),
    max_leaves=6,
)
