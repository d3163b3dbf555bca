"""A local page that follows a scene file: pictures, findings, a plan, and controls to try things.

One process, five threads besides the one that waits for the end, each with one thing to do:
`reading` the files and what was turned in the page, `drawing` pictures, `tracing` better ones while
nothing moves, `measuring`, and `serving` the page. What is newest wins everywhere; nothing queues.
"""
