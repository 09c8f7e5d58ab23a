"""From a sentence to a rule: tokens, the grammar, and what to say of a sentence that is not understood."""
