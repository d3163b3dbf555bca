"""A pitch as pages: what it says (`content`), how a page is set (`leaf`), which pages it has.

`document.write_pitch` writes the file; all else makes leaves for it.
"""
