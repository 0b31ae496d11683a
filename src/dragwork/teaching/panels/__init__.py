"""Interactive pictures: sliders, a picture that follows them, a sentence that says the numbers."""
