"""What turns the library into lessons: figures, panels, forms and questions."""
