"""Lines across the model, such as string, pipe cleaners and drawn strokes: found, followed, their length measured."""
