"""The kinds of rules, a file a kind; a file put here is found by itself (see kind_registry)."""
