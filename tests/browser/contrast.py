"""How far two colours of a page stand apart."""

from __future__ import annotations


def contrast(one: str, other: str) -> str:
    """Of two colours of the style, by W3C WCAG 2.2's formula, in the tab."""
    return (
        "(() => { const light = (name) => { const box = document.createElement('p');"
        " box.style.color = `var(${name})`; document.body.append(box);"
        " const of = getComputedStyle(box).color.match(/[\\d.]+/g).slice(0, 3).map((v) => {"
        " const s = v / 255; return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4; });"
        " box.remove(); return 0.2126 * of[0] + 0.7152 * of[1] + 0.0722 * of[2]; };"
        f" const [a, b] = [light('{one}'), light('{other}')];"
        " return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05); })()"
    )
