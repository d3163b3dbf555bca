"""What is set on paper: faces of type, figures to scale, pages."""
