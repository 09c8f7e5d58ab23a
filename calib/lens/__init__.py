"""What a camera's lens does: what phones' lenses do, profiles learnt from the lens sheet."""
