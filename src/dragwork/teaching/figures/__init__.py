"""The pictures: matplotlib figures without widgets."""
