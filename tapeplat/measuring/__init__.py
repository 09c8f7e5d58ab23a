"""From photos, outlines or repairs to a judged model."""
