"""A page for somebody who owns no 3D program: one HTML file that needs nothing else.

`content` says what it holds, `encoded` turns light and pictures into lossless images, `document`
puts HTML, style, scripts, words and images together. All words stand in `words.json`.
"""
