"""Formulas: rules put together of quantities, comparisons, quantifiers and connectives; read, printed, judged."""
