"""What all paper is made of: faces of type, figures with lines and words, labels, pages, SVG."""
